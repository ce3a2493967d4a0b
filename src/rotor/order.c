/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/order.h"

#include "base/memory.h"
#include "base/units.h"

#include <gsl/gsl_sf_bessel.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TAPS = 32, PHASES = 256, HELD_FRAMES = 16384 };

#define KAISER_BETA 8.0

struct resampler {
    struct source input;
    const struct track *track;
    double sample_rate_hz;
    uint64_t next;       /* number of the next output frame */
    double time_s;       /* of the frame before */
    double *held;        /* input frames first_held ... */
    uint64_t first_held; /* shifted by TAPS / 2: the input starts after as many zeros */
    size_t held_count;
    bool is_ended;
    double taps[PHASES + 1][TAPS];
};

static void make_taps(struct resampler *resampler)
{
    for (int phase = 0; phase <= PHASES; phase++)
        for (int tap = 0; tap < TAPS; tap++) {
            double x = tap - (TAPS / 2 - 1) - (double)phase / PHASES, edge = x / (TAPS / 2.0);
            double window = fabs(edge) < 1
                                ? gsl_sf_bessel_I0(KAISER_BETA * sqrt(1 - edge * edge)) / gsl_sf_bessel_I0(KAISER_BETA)
                                : 0;
            resampler->taps[phase][tap] = window * (fabs(x) < 1e-12 ? 1 : sin(PI * x) / (PI * x));
        }
}

/* Makes sure that the frames [first, first + TAPS) are held; false at the input's end. */
static bool hold(struct resampler *resampler, uint64_t first, struct err *err, bool *is_there)
{
    *is_there = false;
    while (first + TAPS > resampler->first_held + resampler->held_count) {
        if (resampler->is_ended)
            return true;
        size_t drop = resampler->held_count > TAPS ? resampler->held_count - TAPS : 0;
        memmove(resampler->held, resampler->held + drop, (resampler->held_count - drop) * sizeof *resampler->held);
        resampler->first_held += drop;
        resampler->held_count -= drop;
        size_t got = 0;
        if (!resampler->input.read(resampler->input.state, resampler->held + resampler->held_count,
                                   HELD_FRAMES - resampler->held_count, &got, err))
            return false;
        resampler->held_count += got;
        resampler->is_ended = got == 0;
    }
    *is_there = true;
    return true;
}

static double interpolate(const struct resampler *resampler, uint64_t first, double share)
{
    const double *frames = resampler->held + (first - resampler->first_held);
    double place = share * PHASES;
    int phase = place < PHASES ? (int)place : PHASES - 1;
    double between = place - phase, low = 0, high = 0;
    for (int tap = 0; tap < TAPS; tap++) {
        low += frames[tap] * resampler->taps[phase][tap];
        high += frames[tap] * resampler->taps[phase + 1][tap];
    }
    return low + between * (high - low);
}

/* The time when the shaft has turned by `turns`: one step of Newton's rule from a near guess. */
static double time_of_turns(const struct track *track, double guess_s, double turns)
{
    return guess_s + (turns - track_turns(track, guess_s)) / track_hz(track, guess_s);
}

static bool read_resampled(void *state, double *pressure_pa, size_t frame_count, size_t *got, struct err *err)
{
    struct resampler *resampler = state;
    double turn_step = resampler->track->mean_hz / resampler->sample_rate_hz;
    *got = 0;
    while (*got < frame_count) {
        double guess_s = resampler->time_s + (resampler->next > 0 ? 1 / resampler->sample_rate_hz : 0);
        double time_s = time_of_turns(resampler->track, guess_s, (double)resampler->next * turn_step);
        if (resampler->next > 0 &&
            !(time_s > resampler->time_s)) /* a course that stands still or turns back ends here */
            return true;
        double place = fmax(time_s * resampler->sample_rate_hz, 0);
        uint64_t whole = (uint64_t)place;
        bool is_there = false;
        if (!hold(resampler, whole + 1, err, &is_there))
            return false;
        if (!is_there)
            return true;
        pressure_pa[(*got)++] = interpolate(resampler, whole + 1, place - (double)whole);
        resampler->time_s = time_s;
        resampler->next++;
    }
    return true;
}

bool order_spectrum(struct pressure *pressure, const struct track *track, size_t block_frames, struct spectrum *out,
                    struct err *err)
{
    *out = (struct spectrum){ 0 };
    struct resampler *resampler = memory_new(1, sizeof *resampler);
    if (!resampler)
        return err_memory(err);
    resampler->track = track;
    resampler->sample_rate_hz = pressure->sample_rate_hz;
    resampler->held = memory_new(HELD_FRAMES, sizeof *resampler->held);
    bool is_ok = resampler->held ? source_of_pressure(pressure, &resampler->input, err) : err_memory(err);
    if (is_ok) {
        resampler->held_count = TAPS / 2; /* zeros before the start */
        make_taps(resampler);
        struct source turned = { read_resampled, resampler };
        is_ok = spectrum_of_source(&turned, pressure->sample_rate_hz, block_frames, out, err);
    }
    free(resampler->held);
    free(resampler);
    return is_ok;
}
