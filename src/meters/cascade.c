/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/cascade.h"

#include "base/clones.h"

#include <math.h>
#include <string.h>

/* States below what any recording holds are silence; without it they would go on to numbers that some processors treat
 * slowly. */
#define TINY 1e-140

static void multiply(struct cascade *cascade, const double *factor, int factor_count)
{
    double product[CASCADE_TAPS_MAX] = { 0 };
    for (int i = 0; i < cascade->tap_count; i++)
        for (int k = 0; k < factor_count; k++)
            product[i + k] += cascade->taps[i] * factor[k];
    cascade->tap_count += factor_count - 1;
    memcpy(cascade->taps, product, sizeof product);
}

void cascade_init(struct cascade *cascade, const double *zeros, int zero_tap_count, const double *poles, int pole_count)
{
    *cascade = (struct cascade){ .tap_count = 1, .pole_count = pole_count, .taps = { 1 } };
    multiply(cascade, zeros, zero_tap_count);
    for (int k = 0; k < pole_count; k++) {
        double p = poles[k], factor[] = { 1, p, p * p, p * p * p };
        multiply(cascade, factor, 4);
        cascade->poles4[k] = p * p * p * p;
    }
}

/* Adds to `output` what the taps of some phases give, the k-th being of phase k % LANES; the first call of a filter
 * starts the output, the last one runs the poles. A vector of frames is loaded once and then serves every LANES-th tap,
 * each time one vector later. Inlined with constant counts, so that taps and frames stay in registers. */
static inline __attribute__((always_inline)) void run_phases(struct cascade *cascade, int tap_count, int pole_count,
                                                             int first_phase, int phase_count, const double *input,
                                                             size_t frame_count, double *restrict output)
{
    const int end_phase = first_phase + phase_count, poles_here = end_phase == LANES ? pole_count : 0;
    lanes held[CASCADE_TAPS_MAX], last[CASCADE_POLES_MAX];
#pragma GCC unroll 32
    for (int k = 0; k + LANES < tap_count; k++)
        held[k] = *(const lanes *)(input - k - LANES);
    for (int k = 0; k < poles_here; k++)
        last[k] = cascade->last[k];
    for (size_t i = 0; i < frame_count; i += LANES) {
        lanes sum = { 0 };
        if (first_phase > 0)
            sum = *(const lanes *)(output + i);
#pragma GCC unroll 32
        for (int k = tap_count - 1; k >= 0; k--) {
            held[k] = k < LANES ? *(const lanes *)(input + i - k) : held[k - LANES];
            if (k % LANES >= first_phase && k % LANES < end_phase)
                sum += cascade->taps[k] * held[k];
        }
#pragma GCC unroll 8
        for (int k = 0; k < poles_here; k++)
            sum = last[k] = sum + cascade->poles4[k] * last[k];
        *(lanes *)(output + i) = sum;
    }
    for (int k = 0; k < poles_here; k++)
        cascade->last[k] = last[k];
}

/* Few taps stay in registers all at once; more of them in two halves. */
WITH_CLONES static void run_by_size(struct cascade *cascade, const double *input, size_t frame_count, double *output)
{
    const int taps = cascade->tap_count, poles = cascade->pole_count;
    if (taps == 20 && poles == 5) {
        run_phases(cascade, 20, 5, 0, 2, input, frame_count, output);
        run_phases(cascade, 20, 5, 2, 2, input, frame_count, output);
    } else if (taps == 11 && poles == 2) {
        run_phases(cascade, 11, 2, 0, 2, input, frame_count, output);
        run_phases(cascade, 11, 2, 2, 2, input, frame_count, output);
    } else if (taps == 5 && poles == 1) {
        run_phases(cascade, 5, 1, 0, 4, input, frame_count, output);
    } else {
        run_phases(cascade, taps, poles, 0, 4, input, frame_count, output);
    }
}

void cascade_run(struct cascade *cascade, const double *input, size_t frame_count, double *output)
{
    run_by_size(cascade, input, frame_count, output);
    for (int k = 0; k < cascade->pole_count; k++)
        for (int lane = 0; lane < LANES; lane++)
            if (fabs(cascade->last[k][lane]) < TINY)
                cascade->last[k][lane] = 0;
}
