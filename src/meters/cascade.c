/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/cascade.h"

#include "meters/clones.h"

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

/* Inlined with constant counts, so that coefficients and states stay in registers. */
static inline __attribute__((always_inline)) void run(struct cascade *cascade, int tap_count, int pole_count,
                                                      const double *input, size_t frame_count, double *output)
{
    cascade_lanes last[CASCADE_POLES_MAX];
    for (int k = 0; k < pole_count; k++)
        last[k] = cascade->last[k];
    for (size_t i = 0; i < frame_count; i += CASCADE_LANES) {
        cascade_lanes even = { 0 }, odd = { 0 };
#pragma GCC unroll 32
        for (int k = 0; k + 1 < tap_count; k += 2) {
            even += cascade->taps[k] * *(const cascade_lanes *)(input + i - k);
            odd += cascade->taps[k + 1] * *(const cascade_lanes *)(input + i - k - 1);
        }
        if (tap_count % 2 == 1)
            even += cascade->taps[tap_count - 1] * *(const cascade_lanes *)(input + i - tap_count + 1);
        cascade_lanes value = even + odd;
#pragma GCC unroll 8
        for (int k = 0; k < pole_count; k++)
            value = last[k] = value + cascade->poles4[k] * last[k];
        *(cascade_lanes *)(output + i) = value;
    }
    for (int k = 0; k < pole_count; k++)
        cascade->last[k] = last[k];
}

WITH_CLONES static void run_by_size(struct cascade *cascade, const double *input, size_t frame_count, double *output)
{
    if (cascade->tap_count == 20 && cascade->pole_count == 5)
        run(cascade, 20, 5, input, frame_count, output);
    else if (cascade->tap_count == 11 && cascade->pole_count == 2)
        run(cascade, 11, 2, input, frame_count, output);
    else if (cascade->tap_count == 5 && cascade->pole_count == 1)
        run(cascade, 5, 1, input, frame_count, output);
    else
        run(cascade, cascade->tap_count, cascade->pole_count, input, frame_count, output);
}

void cascade_run(struct cascade *cascade, const double *input, size_t frame_count, double *output)
{
    run_by_size(cascade, input, frame_count, output);
    for (int k = 0; k < cascade->pole_count; k++)
        for (int lane = 0; lane < CASCADE_LANES; lane++)
            if (fabs(cascade->last[k][lane]) < TINY)
                cascade->last[k][lane] = 0;
}
