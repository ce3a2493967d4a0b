/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/decimator.h"

#include "base/clones.h"
#include "base/units.h"
#include "meters/kaiser.h"

#include <math.h>
#include <string.h>

#define KAISER_BETA 9.0

/* Tap at distance 2k + 1 from the centre: a sinc of half the rate, windowed; all of them sum to 1/4 either side, so
 * that the gain at 0 Hz is 1. */
void decimator_init(struct decimator *decimator, double *even, double *odd)
{
    *decimator = (struct decimator){ .even = even, .odd = odd };
    double sum = 0;
    for (size_t k = 0; k < DECIMATOR_PAIRS; k++) {
        double distance = 2.0 * (double)k + 1, edge = distance / (double)DECIMATOR_MARGIN;
        decimator->taps[k] = kaiser_window(edge, KAISER_BETA) * sin(0.5 * PI * distance) / (PI * distance);
        sum += decimator->taps[k];
    }
    for (size_t k = 0; k < DECIMATOR_PAIRS; k++)
        decimator->taps[k] *= 0.25 / sum;
}

/* The loop over the taps is unrolled so that the one over time can take several values at once. */
WITH_CLONES static void convolve(const double *restrict taps, const double *restrict even, const double *restrict odd,
                                 size_t count, double *restrict output)
{
    for (size_t i = 0; i < count; i++) {
        double sum = 0.5 * even[i];
#pragma GCC unroll 8
        for (size_t k = 0; k < DECIMATOR_PAIRS; k++)
            sum += taps[k] * (odd[i - 1 - k] + odd[i + k]);
        output[i] = sum;
    }
}

/* Two at a time: frames 2 i and 2 i + 1. */
WITH_CLONES static void split(const double *restrict input, size_t count, double *restrict even, double *restrict odd)
{
    for (size_t i = 0; i < count; i++) {
        even[i] = input[2 * i];
        odd[i] = input[2 * i + 1];
    }
}

void decimator_run(struct decimator *decimator, const double *input, size_t frame_count, double *output)
{
    size_t count = frame_count / 2;
    double *even = decimator->even + DECIMATOR_MARGIN, *odd = decimator->odd + DECIMATOR_MARGIN;
    split(input, count, even, odd);
    /* The centre lies DECIMATOR_PAIRS even values back. Even value j stands between odd values j - 1 and j. */
    convolve(decimator->taps, even - DECIMATOR_PAIRS, odd - DECIMATOR_PAIRS, count, output);
    memmove(decimator->even, decimator->even + count, DECIMATOR_MARGIN * sizeof *even);
    memmove(decimator->odd, decimator->odd + count, DECIMATOR_MARGIN * sizeof *odd);
}
