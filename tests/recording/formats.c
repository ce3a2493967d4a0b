/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "signals.h"

#include "recording/recording.h"

/* What goes in through libsndfile's writer comes out of the reader: within 1.5 codes for integers (half of
 * one by rounding, up to one because that writer scales by 2^(bits - 1) - 1), within the format's own precision for
 * floats. The writer and the layout of its containers are the outside source here. */
static const struct {
    const char *name, *described;
    int format, bits;
    bool is_float, is_lossy, says_length;
    double tolerance;
} formats[] = {
    { "u8.wav", "WAV, 8-bit PCM", SF_FORMAT_WAV | SF_FORMAT_PCM_U8, 8, false, false, true, 1.5 / 128 },
    { "16.wav", "WAV, 16-bit PCM", SF_FORMAT_WAV | SF_FORMAT_PCM_16, 16, false, false, true, 1.5 / 32768 },
    { "24.wav", "WAV, 24-bit PCM", SF_FORMAT_WAV | SF_FORMAT_PCM_24, 24, false, false, true, 1.5 / 8388608 },
    { "32.wav", "WAV, 32-bit PCM", SF_FORMAT_WAV | SF_FORMAT_PCM_32, 32, false, false, true, 1.5 / 2147483648.0 },
    { "f.wav", "WAV, 32-bit float", SF_FORMAT_WAV | SF_FORMAT_FLOAT, 32, true, false, true, 6e-8 },
    { "d.wav", "WAV, 64-bit float", SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 64, true, false, true, 0 },
    { "x24.wav", "WAV, 24-bit PCM", SF_FORMAT_WAVEX | SF_FORMAT_PCM_24, 24, false, false, true, 1.5 / 8388608 },
    { "be.wav", "WAV, 16-bit PCM", SF_ENDIAN_BIG | SF_FORMAT_WAV | SF_FORMAT_PCM_16, 16, false, false, true,
      1.5 / 32768 },
    { "24.rf64", "RF64, 24-bit PCM", SF_FORMAT_RF64 | SF_FORMAT_PCM_24, 24, false, false, true, 1.5 / 8388608 },
    { "f.rf64", "RF64, 32-bit float", SF_FORMAT_RF64 | SF_FORMAT_FLOAT, 32, true, false, true, 6e-8 },
    { "24.w64", "Wave64, 24-bit PCM", SF_FORMAT_W64 | SF_FORMAT_PCM_24, 24, false, false, true, 1.5 / 8388608 },
    { "16.aiff", "AIFF, 16-bit PCM", SF_FORMAT_AIFF | SF_FORMAT_PCM_16, 16, false, false, true, 1.5 / 32768 },
    { "24.aiff", "AIFF, 24-bit PCM", SF_FORMAT_AIFF | SF_FORMAT_PCM_24, 24, false, false, true, 1.5 / 8388608 },
    { "f.aiff", "AIFF, 32-bit float", SF_FORMAT_AIFF | SF_FORMAT_FLOAT, 32, true, false, true, 6e-8 },
    { "16.caf", "CAF, 16-bit PCM", SF_FORMAT_CAF | SF_FORMAT_PCM_16, 16, false, false, true, 1.5 / 32768 },
    { "d.caf", "CAF, 64-bit float", SF_FORMAT_CAF | SF_FORMAT_DOUBLE, 64, true, false, true, 0 },
    { "alac.caf", "CAF, 24-bit ALAC", SF_FORMAT_CAF | SF_FORMAT_ALAC_24, 24, false, false, false, 1.5 / 8388608 },
    { "16.flac", "FLAC, 16-bit PCM", SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 16, false, false, true, 1.5 / 32768 },
    { "24.flac", "FLAC, 24-bit PCM", SF_FORMAT_FLAC | SF_FORMAT_PCM_24, 24, false, false, true, 1.5 / 8388608 },
    /* Lossy: the sound is there, within a tenth (no standard says how near). */
    { "3.mp3", "MPEG, layer III", SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III, 0, false, true, false, 0.1 },
    { "v.ogg", "Ogg, Vorbis", SF_FORMAT_OGG | SF_FORMAT_VORBIS, 0, false, true, false, 0.1 },
    { "u.wav", "WAV, u-law", SF_FORMAT_WAV | SF_FORMAT_ULAW, 0, false, true, false, 0.05 },
};

/* Greatest deviation of channel `channel` from what was written; counts the frames that were read. */
static double read_all(struct recording *recording, int channel, const struct sound *sound, size_t *frames)
{
    double block[1000], *out = block, worst = 0;
    size_t got = 1;
    struct err err;
    *frames = 0;
    while (got > 0 && recording_read(recording, &channel, 1, &out, 1000, &got, &err)) {
        for (size_t i = 0; i < got && *frames + i < sound->count; i++)
            worst = fmax(worst, fabs(block[i] - sound->samples[*frames + i]));
        *frames += got;
    }
    return worst;
}

static void every_format_comes_back(void)
{
    struct sound sound = sound_new(48000, 0.5);
    sound_add_sine(&sound, 0.5, 441, 0);
    sound_add_sine(&sound, 0.3, 3000, 1);
    for (size_t i = 0; i < sizeof formats / sizeof formats[0]; i++) {
        if (!sf_format_check(&(SF_INFO){ .samplerate = 48000, .channels = 1, .format = formats[i].format })) {
            tap_skip("this libsndfile does not write %s", formats[i].name);
            continue;
        }
        if (!tap_ok(sound_write(&sound, formats[i].name, formats[i].format), "%s is written", formats[i].name))
            continue;
        struct err err;
        struct recording *recording = recording_open(signals_path(formats[i].name), &err);
        if (tap_ok(recording != NULL, "%s opens", formats[i].name)) {
            const struct recording_info *info = recording_info(recording);
            tap_text(info->format, formats[i].described, formats[i].name);
            tap_ok(info->bits == formats[i].bits && info->is_float == formats[i].is_float &&
                       info->is_lossy == formats[i].is_lossy && info->channel_count == 1,
                   "%s is described", formats[i].name);
            tap_ok(info->declared_frame_count == info->frame_count, "%s promises %llu frames and holds %llu",
                   formats[i].name, (unsigned long long)info->declared_frame_count,
                   (unsigned long long)info->frame_count);
            size_t frames;
            double worst = read_all(recording, 0, &sound, &frames);
            tap_near(worst, 0, formats[i].tolerance, "%s against what was written", formats[i].name);
            tap_ok(frames == sound.count, "%s has all %zu frames", formats[i].name, sound.count);
            recording_free(recording);
        }
        signals_remove(formats[i].name);
    }
    sound_free(&sound);
}

/* The most negative code is exactly -1, the most positive one code below 1. */
static void full_scale_is_one(void)
{
    static const struct {
        int subtype, bits;
    } rows[] = {
        { SF_FORMAT_PCM_U8, 8 }, { SF_FORMAT_PCM_16, 16 }, { SF_FORMAT_PCM_24, 24 }, { SF_FORMAT_PCM_32, 32 }
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const int codes[4] = { INT32_MIN, INT32_MAX, 0, 1 << (32 - rows[i].bits) };
        SF_INFO info = { .samplerate = 8000, .channels = 1, .format = SF_FORMAT_WAV | rows[i].subtype };
        SNDFILE *file = sf_open(signals_path("codes.wav"), SFM_WRITE, &info);
        if (!tap_ok(file && sf_write_int(file, codes, 4) == 4 && sf_close(file) == 0, "codes of %d bits", rows[i].bits))
            continue;
        struct err err;
        struct recording *recording = recording_open(signals_path("codes.wav"), &err);
        double read[4], *out = read, code = ldexp(1, 1 - rows[i].bits);
        size_t got = 0;
        if (tap_ok(recording && recording_read(recording, &(int){ 0 }, 1, &out, 4, &got, &err) && got == 4, "are read"))
            tap_ok(read[0] == -1 && read[1] == 1 - code && read[2] == 0 && read[3] == code,
                   "%d bits: %.17g %.17g %.17g %.17g", rows[i].bits, read[0], read[1], read[2], read[3]);
        recording_free(recording);
        signals_remove("codes.wav");
    }
}

static void every_rate_and_channel(void)
{
    static const int rates_hz[] = { 8000, 11025, 22050, 44100, 48000, 88200, 96000, 192000, 384000 };
    static const int channel_counts[] = { 1, 2, 3, 8, 32 };
    for (size_t r = 0; r < sizeof rates_hz / sizeof rates_hz[0]; r++) {
        for (size_t c = 0; c < sizeof channel_counts / sizeof channel_counts[0]; c++) {
            int count = channel_counts[c], channel = count / 2;
            struct sound sound = sound_new(rates_hz[r], 0.05);
            sound_add_sine(&sound, 0.5, 1000, 0);
            struct err err;
            size_t frames = 0;
            double worst = INFINITY, silent = INFINITY;
            if (sound_write_channel(&sound, "many.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_24, channel, count)) {
                struct recording *recording = recording_open(signals_path("many.wav"), &err);
                if (recording && recording_info(recording)->sample_rate_hz == rates_hz[r]) {
                    worst = read_all(recording, channel, &sound, &frames);
                    struct sound nothing = sound_new(rates_hz[r], 0.05);
                    size_t unused;
                    silent = recording_seek(recording, 0, &err) && count > 1
                                 ? read_all(recording, channel - 1, &nothing, &unused)
                                 : 0;
                    sound_free(&nothing);
                }
                recording_free(recording);
            }
            tap_ok(worst <= 1.5 / 8388608 && silent == 0 && frames == sound.count,
                   "%d Hz, channel %d of %d: within %.3g, its neighbour is silent", rates_hz[r], channel + 1, count,
                   worst);
            sound_free(&sound);
        }
    }
    signals_remove("many.wav");
}

/* MPEG audio of every rate has its own kind of frame head (versions 1, 2 and 2.5). */
static void mpeg_at_every_rate(void)
{
    static const int rates_hz[] = { 8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000 };
    for (size_t i = 0; i < sizeof rates_hz / sizeof rates_hz[0]; i++) {
        SF_INFO info = { .samplerate = rates_hz[i],
                         .channels = 2,
                         .format = SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III };
        struct sound sound = sound_new(rates_hz[i], 0.5);
        sound_add_sine(&sound, 0.5, 441, 0);
        if (!sf_format_check(&info)) {
            tap_skip("this libsndfile does not write MPEG audio");
        } else if (sound_write_channel(&sound, "rate.mp3", info.format, 1, 2)) {
            struct err err = { 0 };
            struct recording *recording = recording_open(signals_path("rate.mp3"), &err);
            tap_ok(recording && recording_info(recording)->sample_rate_hz == rates_hz[i] &&
                       recording_info(recording)->is_lossy,
                   "MPEG audio at %d Hz %s", rates_hz[i], err.text);
            recording_free(recording);
        }
        signals_remove("rate.mp3");
        sound_free(&sound);
    }
}

static void several_channels_at_once_and_seeking(void)
{
    struct sound sound = sound_new(48000, 1);
    sound_add_sine(&sound, 0.5, 997, 0);
    struct err err;
    if (!sound_write_channel(&sound, "three.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_24, 1, 3))
        return;
    struct recording *recording = recording_open(signals_path("three.flac"), &err);
    double first[20000], second[20000], *out[2] = { first, second };
    size_t got = 0;
    if (tap_ok(recording && recording_seek(recording, 20000, &err) &&
                   recording_read(recording, (int[]){ 1, 0 }, 2, out, 20000, &got, &err) && got == 20000,
               "two channels of 20000 frames, more than a block, from frame 20000")) {
        double worst = 0, silent = 0;
        for (size_t i = 0; i < got; i++) {
            worst = fmax(worst, fabs(first[i] - sound.samples[20000 + i]));
            silent = fmax(silent, fabs(second[i]));
        }
        tap_near(worst, 0, 1.5 / 8388608, "the right frames of the right channel");
        tap_near(silent, 0, 0, "and of the other");
        tap_ok(recording_read(recording, (int[]){ 2 }, 1, out, 20000, &got, &err) && got == 8000,
               "8000 frames are left");
        tap_ok(recording_read(recording, (int[]){ 2 }, 1, out, 20000, &got, &err) && got == 0, "then none");
        tap_ok(recording_seek(recording, 48000, &err) &&
                   recording_read(recording, (int[]){ 2 }, 1, out, 1, &got, &err) && got == 0,
               "the end can be sought and holds nothing");
        tap_ok(!recording_seek(recording, 48001, &err) && err.kind == ERR_RANGE, "behind it is refused: %s", err.text);
        tap_ok(!recording_read(recording, (int[]){ 3 }, 1, out, 1, &got, &err) && err.kind == ERR_AUDIO,
               "a channel that is not there is refused: %s", err.text);
        tap_ok(!recording_read(recording, (int[]){ -1 }, 1, out, 1, &got, &err), "so is a negative one");
    }
    recording_free(recording);
    signals_remove("three.flac");
    sound_free(&sound);
}

/* Sought frames are those that come in sequence, in every codec that has to find them (a lossy one too). */
static void seeking_is_exact(const char *name, int format)
{
    enum { FRAMES = 40000, FROM = 23456 };
    struct sound sound = sound_new(48000, (double)FRAMES / 48000);
    sound_add_sine(&sound, 0.4, 333, 0);
    sound_add_noise(&sound, 0.05, 17);
    struct err err;
    static double all[FRAMES], part[FRAMES];
    double *first = all, *second = part;
    size_t got = 0, got_part = 0, different = 0;
    sound_write(&sound, name, format);
    struct recording *recording = recording_open(signals_path(name), &err);
    bool done = recording && recording_read(recording, &(int){ 0 }, 1, &first, FRAMES, &got, &err) &&
                recording_seek(recording, FROM, &err) &&
                recording_read(recording, &(int){ 0 }, 1, &second, FRAMES, &got_part, &err);
    for (size_t i = 0; done && i < got_part; i++)
        different += all[FROM + i] != part[i];
    tap_ok(done && got == FRAMES && got_part == FRAMES - FROM && different == 0, "%s: frames from %d on are the same",
           name, FROM);
    recording_free(recording);
    signals_remove(name);
    sound_free(&sound);
}

int main(void)
{
    if (!signals_begin())
        return tap_done();
    every_format_comes_back();
    full_scale_is_one();
    every_rate_and_channel();
    mpeg_at_every_rate();
    several_channels_at_once_and_seeking();
    seeking_is_exact("seek.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_24);
    seeking_is_exact("seek.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_24);
    seeking_is_exact("seek.ogg", SF_FORMAT_OGG | SF_FORMAT_VORBIS);
    seeking_is_exact("seek.caf", SF_FORMAT_CAF | SF_FORMAT_ALAC_24);
    return signals_end();
}
