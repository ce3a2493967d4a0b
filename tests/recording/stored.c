/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "signals.h"

#include "recording/recording.h"

#include <string.h>

/* What is decoded without libsndfile has the bits that libsndfile (the outside source here) gives: every kind, one to
 * three channels, blocks of odd lengths, from the start and from a place in the middle. */
enum { FRAMES = 5003, CHANNELS_MOST = 3 };

static const struct {
    const char *name;
    int format;
} kinds[] = {
    { "16.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16 },
    { "24.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_24 },
    { "32.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_32 },
    { "f.wav", SF_FORMAT_WAV | SF_FORMAT_FLOAT },
    { "x24.wav", SF_FORMAT_WAVEX | SF_FORMAT_PCM_24 },
    { "24.rf64", SF_FORMAT_RF64 | SF_FORMAT_PCM_24 },
    { "24.w64", SF_FORMAT_W64 | SF_FORMAT_PCM_24 },
    { "24.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_24 },
    { "24.caf", SF_FORMAT_CAF | SF_FORMAT_PCM_24 },
    { "le24.caf", SF_ENDIAN_LITTLE | SF_FORMAT_CAF | SF_FORMAT_PCM_24 },
    { "be24.wav", SF_ENDIAN_BIG | SF_FORMAT_WAV | SF_FORMAT_PCM_24 },
    { "u8.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_U8 },
};

/* All codes near the ends of the scale and around zero, then an even spread. */
static double sample_at(size_t i)
{
    static const double special[] = { -1, 1, 0, -0.0, 1.0 / 8388608, -1.0 / 8388608, 0.5, -0.5, -0.9999999, 0.9999999 };
    size_t count = sizeof special / sizeof special[0];
    return i < count ? special[i] : fmod((double)i * 0.7548776662466927, 2) - 1;
}

static bool write_file(const char *path, int format, int channels)
{
    SF_INFO info = { .samplerate = 48000, .channels = channels, .format = format };
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file)
        return false;
    sf_command(file, SFC_SET_CLIPPING, NULL, SF_TRUE);
    double frame[CHANNELS_MOST];
    bool ok = true;
    for (size_t i = 0; i < FRAMES && ok; i++) {
        for (int channel = 0; channel < channels; channel++)
            frame[channel] = sample_at(i + (size_t)(1000 * channel));
        ok = sf_writef_double(file, frame, 1) == 1;
    }
    return sf_close(file) == 0 && ok;
}

/* Channel `channel` from frame `from` on, through libsndfile and through the reader; counts what differs. */
static size_t differences(const char *path, int channel, size_t from)
{
    static double want[FRAMES * CHANNELS_MOST], got[FRAMES];
    SF_INFO info = { 0 };
    struct err err;
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    struct recording *recording = recording_open(path, &err);
    bool ok =
        file && recording && sf_readf_double(file, want, FRAMES) == FRAMES && recording_seek(recording, from, &err);
    size_t frames = from, part = 1, bad = 0;
    for (size_t block = 1; ok && part > 0; block = 3 * block + 1) {
        double *out = got + frames;
        ok = recording_read(recording, &channel, 1, &out, block, &part, &err);
        frames += part;
    }
    for (size_t i = from; ok && i < FRAMES; i++)
        bad += memcmp(&got[i], &want[i * (size_t)info.channels + (size_t)channel], sizeof got[i]) != 0;
    recording_free(recording);
    sf_close(file);
    return ok && frames == FRAMES ? bad : FRAMES;
}

int main(void)
{
    if (!signals_begin())
        return 1;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        for (int channels = 1; channels <= CHANNELS_MOST; channels++) {
            const char *path = signals_path(kinds[i].name);
            bool is_written = write_file(path, kinds[i].format, channels);
            size_t bad = is_written ? differences(path, 0, 0) + differences(path, channels - 1, 1234) : FRAMES;
            signals_remove(kinds[i].name);
            tap_ok(is_written && bad == 0, "%s of %d channels: the bits that libsndfile gives (%zu differ)",
                   kinds[i].name, channels, bad);
        }
    }
    return signals_end();
}
