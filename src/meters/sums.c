/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/sums.h"

#include "base/clones.h"

#include <math.h>

#define LANES 8

static double larger(double one, double other)
{
    return one > other ? one : other;
}

WITH_CLONES double sum_of_squares(const double *values, size_t count)
{
    double sum[LANES] = { 0 }, rest = 0;
    size_t i = 0;
    for (; i + LANES <= count; i += LANES)
        for (size_t j = 0; j < LANES; j++)
            sum[j] += values[i + j] * values[i + j];
    for (; i < count; i++)
        rest += values[i] * values[i];
    return (((sum[0] + sum[4]) + (sum[1] + sum[5])) + ((sum[2] + sum[6]) + (sum[3] + sum[7]))) + rest;
}

static double greatest_lane(const double lanes[LANES], double rest)
{
    for (size_t j = 0; j < LANES; j++)
        rest = larger(lanes[j], rest);
    return rest;
}

WITH_CLONES double sum_greatest_magnitude(const double *values, size_t count)
{
    double greatest[LANES] = { 0 }, rest = 0;
    size_t i = 0;
    for (; i + LANES <= count; i += LANES)
        for (size_t j = 0; j < LANES; j++)
            greatest[j] = larger(fabs(values[i + j]), greatest[j]);
    for (; i < count; i++)
        rest = larger(fabs(values[i]), rest);
    return greatest_lane(greatest, rest);
}

WITH_CLONES double sum_greatest_sharpened(const double *values, size_t count)
{
    double greatest[LANES] = { 0 }, rest = 0;
    size_t i = 0;
    for (; i + LANES <= count; i += LANES)
        for (size_t j = 0; j < LANES; j++) {
            const double *at = values + i + j;
            greatest[j] = larger(fabs(1.8 * at[0] - 0.4 * (at[-1] + at[1])), greatest[j]);
        }
    for (; i < count; i++)
        rest = larger(fabs(1.8 * values[i] - 0.4 * (values[i - 1] + values[i + 1])), rest);
    return greatest_lane(greatest, rest);
}
