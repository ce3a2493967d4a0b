/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/sums.h"

#include "base/clones.h"
#include "base/lanes.h"

#include <math.h>

#define ABREAST 8

static inline __attribute__((always_inline)) double squares(const double *values, size_t count)
{
    double sum[ABREAST] = { 0 }, rest = 0;
    size_t i = 0;
    for (; i + ABREAST <= count; i += ABREAST)
        for (size_t j = 0; j < ABREAST; j++)
            sum[j] += values[i + j] * values[i + j];
    for (; i < count; i++)
        rest += values[i] * values[i];
    return (((sum[0] + sum[4]) + (sum[1] + sum[5])) + ((sum[2] + sum[6]) + (sum[3] + sum[7]))) + rest;
}

WITH_CLONES double sum_of_squares(const double *values, size_t count)
{
    return squares(values, count);
}

WITH_CLONES void sums_of_hops(const double *values, size_t hop, size_t hop_count, double *sums)
{
    for (size_t h = 0; h < hop_count; h++)
        sums[h] = squares(values + h * hop, hop);
}

/* |1.8 v[i] - 0.4 (v[i - 1] + v[i + 1])| of LANES values from `at` on. */
static inline __attribute__((always_inline)) void sharpen(const double *at, lanes *out)
{
    lanes here = *(const lanes *)at, beside = *(const lanes *)(at - 1) + *(const lanes *)(at + 1);
    lanes sharp = 1.8 * here - 0.4 * beside;
    *out = LANES_MAGNITUDE(sharp);
}

WITH_CLONES double sum_greatest_sharpened(const double *values, size_t count)
{
    lanes greatest[2] = { { 0 } };
    double most = 0;
    size_t i = 0;
    for (; i + 2 * LANES <= count; i += 2 * LANES)
        for (size_t j = 0; j < 2; j++) {
            lanes here;
            sharpen(values + i + j * LANES, &here);
            greatest[j] = LANES_LARGER(here, greatest[j]);
        }
    for (; i < count; i++)
        most = larger_of(fabs(1.8 * values[i] - 0.4 * (values[i - 1] + values[i + 1])), most);
    lanes of_both = LANES_LARGER(greatest[0], greatest[1]);
    for (size_t j = 0; j < LANES; j++)
        most = larger_of(of_both[j], most);
    return most;
}
