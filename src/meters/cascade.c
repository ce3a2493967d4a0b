/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/cascade.h"

#include "base/clones.h"

#include <math.h>
#include <string.h>

/* States below what any recording holds are silence; without it they would go on to numbers that some processors treat
 * slowly. */
#define TINY 1e-140
#define VECTORS 2 /* of LANES frames at a time */

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

/* The next `vector_count` vectors of frames; a tap that is loaded serves all of them. Inlined with constant counts, so
 * that sums and states stay in registers. */
static inline __attribute__((always_inline)) void run_vectors(const struct cascade *cascade, int tap_count,
                                                              int pole_count, int vector_count, const double *input,
                                                              lanes last[CASCADE_POLES_MAX], double *restrict output)
{
    lanes even[VECTORS] = { 0 }, odd[VECTORS] = { 0 };
#pragma GCC unroll 32
    for (int k = 0; k + 1 < tap_count; k += 2) {
        for (int v = 0; v < vector_count; v++) {
            const double *at = input + LANES * v;
            even[v] += cascade->taps[k] * *(const lanes *)(at - k);
            odd[v] += cascade->taps[k + 1] * *(const lanes *)(at - k - 1);
        }
    }
    for (int v = 0; v < vector_count; v++) {
        const double *at = input + LANES * v;
        if (tap_count % 2 == 1)
            even[v] += cascade->taps[tap_count - 1] * *(const lanes *)(at - tap_count + 1);
        lanes value = even[v] + odd[v];
#pragma GCC unroll 8
        for (int k = 0; k < pole_count; k++)
            value = last[k] = value + cascade->poles4[k] * last[k];
        *(lanes *)(output + LANES * v) = value;
    }
}

static inline __attribute__((always_inline)) void run(struct cascade *cascade, int tap_count, int pole_count,
                                                      const double *input, size_t frame_count, double *output)
{
    lanes last[CASCADE_POLES_MAX];
    for (int k = 0; k < pole_count; k++)
        last[k] = cascade->last[k];
    size_t i = 0;
    for (; i + VECTORS * LANES <= frame_count; i += VECTORS * LANES)
        run_vectors(cascade, tap_count, pole_count, VECTORS, input + i, last, output + i);
    for (; i < frame_count; i += LANES)
        run_vectors(cascade, tap_count, pole_count, 1, input + i, last, output + i);
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
        for (int lane = 0; lane < LANES; lane++)
            if (fabs(cascade->last[k][lane]) < TINY)
                cascade->last[k][lane] = 0;
}
