/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_RECORDING_SIGNALS_H
#define THRUM_TESTS_RECORDING_SIGNALS_H

/* Sounds for the tests of this room, made here and written by libsndfile into a temporary folder that is removed at the
 * end. Noise has a fixed seed. */

#include "tap.h"

#include <math.h>
#include <sndfile.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define TWO_PI 6.28318530717958647692

static char signals_folder[64];

static inline bool signals_begin(void)
{
    snprintf(signals_folder, sizeof signals_folder, "/tmp/thrum-recording-XXXXXX");
    return tap_ok(mkdtemp(signals_folder) != NULL, "a temporary folder");
}

static inline const char *signals_path(const char *name)
{
    static char path[2][400]; /* two at a time */
    static int turn;
    turn = !turn;
    snprintf(path[turn], sizeof path[turn], "%s/%s", signals_folder, name);
    return path[turn];
}

static inline void signals_remove(const char *name)
{
    unlink(signals_path(name));
}

static inline int signals_end(void)
{
    tap_ok(rmdir(signals_folder) == 0, "nothing is left in the temporary folder");
    return tap_done();
}

struct sound {
    double *samples; /* one channel */
    size_t count;
    double rate_hz;
};

static inline struct sound sound_new(double rate_hz, double duration_s)
{
    struct sound sound = { .count = (size_t)(rate_hz * duration_s + 0.5), .rate_hz = rate_hz };
    sound.samples = calloc(sound.count, sizeof *sound.samples);
    if (!sound.samples)
        abort();
    return sound;
}

static inline void sound_free(struct sound *sound)
{
    free(sound->samples);
    sound->samples = NULL;
}

static inline void sound_add_sine(struct sound *sound, double amplitude, double hz, double phase)
{
    for (size_t i = 0; i < sound->count; i++)
        sound->samples[i] += amplitude * sin(TWO_PI * fmod(hz * (double)i / sound->rate_hz, 1) + phase);
}

/* A number in (-1, 1) from a 64-bit xorshift generator (Marsaglia 2003). */
static inline double random_of(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return (double)(int64_t)*state / 9223372036854775808.0;
}

/* Near-Gaussian white noise of the given rms: the sum of six uniform numbers (variance 1/3 each). */
static inline void sound_add_noise(struct sound *sound, double rms, uint64_t seed)
{
    uint64_t state = seed * 0x9E3779B97F4A7C15u + 1;
    for (size_t i = 0; i < sound->count; i++) {
        double sum = 0;
        for (int k = 0; k < 6; k++)
            sum += random_of(&state);
        sound->samples[i] += rms * sum / sqrt(2);
    }
}

/* A rotor as it sounds: blade harmonics that fall off, a weak shaft line, and broadband noise that swells with each
 * blade passage. `level` is the rms of the whole, `noise_share` that of the noise in it (of the power). */
static inline void sound_add_rotor(struct sound *sound, double level, double blade_hz, double noise_share,
                                   uint64_t seed)
{
    struct sound noise = sound_new(sound->rate_hz, (double)sound->count / sound->rate_hz);
    sound_add_noise(&noise, level * sqrt(noise_share), seed);
    double tone = level * sqrt(2 * (1 - noise_share));
    for (int harmonic = 1; harmonic <= 6 && harmonic * blade_hz < 0.45 * sound->rate_hz; harmonic++)
        sound_add_sine(sound, tone * 0.8 / pow(2, harmonic - 1), harmonic * blade_hz, 0.7 * harmonic * harmonic);
    sound_add_sine(sound, tone * 0.05, blade_hz / 2, 0.3);
    for (size_t i = 0; i < sound->count; i++) {
        double swell = 1 + 0.5 * sin(TWO_PI * fmod(blade_hz * (double)i / sound->rate_hz, 1));
        sound->samples[i] += noise.samples[i] * swell;
    }
    sound_free(&noise);
}

/* Writes `sound` to channel `channel` of `channel_count` (the others are silent) in a libsndfile format. libsndfile
 * rounds and clips integers. */
static inline bool sound_write_channel(const struct sound *sound, const char *name, int format, int channel,
                                       int channel_count)
{
    SF_INFO info = { .samplerate = (int)sound->rate_hz, .channels = channel_count, .format = format };
    signals_remove(name); /* a new file: writing over an old one makes some file systems wait for the disk */
    SNDFILE *file = sf_open(signals_path(name), SFM_WRITE, &info);
    if (!file)
        return tap_ok(false, "libsndfile writes %s: %s", name, sf_strerror(NULL));
    sf_command(file, SFC_SET_CLIPPING, NULL, SF_TRUE);
    double *frames = calloc(4096 * (size_t)channel_count, sizeof *frames);
    size_t done = 0;
    for (size_t count = 1; frames && done < sound->count && count > 0; done += count) {
        count = sound->count - done < 4096 ? sound->count - done : 4096;
        for (size_t i = 0; i < count; i++)
            frames[i * (size_t)channel_count + (size_t)channel] = sound->samples[done + i];
        if (sf_writef_double(file, frames, (sf_count_t)count) != (sf_count_t)count)
            count = 0;
    }
    free(frames);
    return sf_close(file) == 0 && done == sound->count;
}

static inline bool sound_write(const struct sound *sound, const char *name, int format)
{
    return sound_write_channel(sound, name, format, 0, 1);
}

/* Keeps the first `size` bytes of a file. */
static inline bool signals_cut(const char *name, long size)
{
    return truncate(signals_path(name), size) == 0;
}

static inline bool signals_write_bytes(const char *name, const void *bytes, size_t size)
{
    signals_remove(name);
    FILE *file = fopen(signals_path(name), "wb");
    if (!file)
        return false;
    bool done = fwrite(bytes, 1, size, file) == size;
    return fclose(file) == 0 && done;
}

#endif
