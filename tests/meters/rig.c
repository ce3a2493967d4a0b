/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rig.h"

#include "base/units.h"
#include "meters/level_meter.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static void fail(const char *what)
{
    printf("Bail out! %s\n", what);
    exit(EXIT_FAILURE);
}

struct signal signal_new(double rate_hz, double preroll_s, double seconds)
{
    struct signal signal = { .rate_hz = rate_hz,
                             .preroll_frames = (size_t)lround(preroll_s * rate_hz),
                             .frame_count = (size_t)lround(seconds * rate_hz) };
    signal.pa = calloc(signal.preroll_frames + signal.frame_count + 1, sizeof *signal.pa);
    if (!signal.pa)
        fail("out of memory");
    return signal;
}

void signal_clear(struct signal *signal)
{
    free(signal->pa);
    *signal = (struct signal){ 0 };
}

/* The rotation is set anew every so often, so that its rounding errors stay below 1e-13. */
#define ROTATION_FRAMES 256
void signal_add_sine(struct signal *signal, double hz, double rms_pa, double turns)
{
    size_t count = signal->preroll_frames + signal->frame_count;
    double step = 2 * PI * hz / signal->rate_hz, step_cos = cos(step), step_sin = sin(step), real = 0, imaginary = 0;
    for (size_t i = 0; i < count; i++) {
        if (i % ROTATION_FRAMES == 0) {
            double time = ((double)i - (double)signal->preroll_frames) / signal->rate_hz;
            double angle = 2 * PI * fmod(hz * time + turns, 1);
            real = sqrt(2) * rms_pa * cos(angle);
            imaginary = sqrt(2) * rms_pa * sin(angle);
        }
        signal->pa[i] += imaginary;
        double turned = real * step_cos - imaginary * step_sin;
        imaginary = real * step_sin + imaginary * step_cos;
        real = turned;
    }
}

struct signal signal_sine(double rate_hz, double hz, double rms_pa, double preroll_s, double seconds)
{
    struct signal signal = signal_new(rate_hz, preroll_s, seconds);
    signal_add_sine(&signal, hz, rms_pa, 0.1);
    return signal;
}

struct signal signal_whole_sine(double rate_hz, double hz, double rms_pa, double preroll_s, double seconds)
{
    return signal_sine(rate_hz, hz, rms_pa, preroll_s, ceil(2 * hz * seconds) / (2 * hz));
}

/* xorshift64* of Vigna (2016), then the polar method of Marsaglia and Bray (1964). */
static double uniform(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (double)((*state * 2685821657736338717u) >> 11) / 9007199254740992.0;
}

void signal_add_noise(struct signal *signal, double rms_pa, uint64_t seed)
{
    size_t count = signal->preroll_frames + signal->frame_count;
    for (size_t i = 0; i < count; i += 2) {
        double x = 0, y = 0, square = 0;
        do {
            x = 2 * uniform(&seed) - 1;
            y = 2 * uniform(&seed) - 1;
            square = x * x + y * y;
        } while (square >= 1 || square == 0);
        double scale = rms_pa * sqrt(-2 * log(square) / square);
        signal->pa[i] += scale * x;
        if (i + 1 < count)
            signal->pa[i + 1] += scale * y;
    }
}

void signal_add_sweep(struct signal *signal, double from_hz, double to_hz, double rms_pa)
{
    double seconds = (double)signal->frame_count / signal->rate_hz, growth = log(to_hz / from_hz) / seconds;
    for (size_t i = 0; i < signal->frame_count; i++) {
        double time = (double)i / signal->rate_hz, turns = from_hz * expm1(growth * time) / growth;
        signal->pa[signal->preroll_frames + i] += sqrt(2) * rms_pa * sin(2 * PI * fmod(turns, 1));
    }
}

void rig_run(const struct meter_kind *kind, const struct signal *signal, int bands_per_octave, size_t block_frames,
             struct figures *figures)
{
    struct meter_setup setup = { .sample_rate_hz = signal->rate_hz,
                                 .preroll_frames = signal->preroll_frames,
                                 .frame_count = signal->frame_count,
                                 .is_absolute = true,
                                 .bands_per_octave = bands_per_octave };
    struct err err = { 0 };
    void *state = kind->create(&setup, &err);
    if (!state)
        fail(err.text);
    size_t count = signal->preroll_frames + signal->frame_count, block = block_frames > 0 ? block_frames : 8192;
    for (size_t at = 0; at < count; at += block)
        kind->feed(state, signal->pa + at, count - at < block ? count - at : block);
    if (!kind->finish(state, figures, &err))
        fail(err.text);
    kind->destroy(state);
}

struct levels rig_levels(const struct signal *signal)
{
    struct figures figures;
    figures_init(&figures);
    rig_run(&level_meter, signal, 0, 0, &figures);
    struct levels levels = figures.levels;
    figures_clear(&figures);
    return levels;
}
