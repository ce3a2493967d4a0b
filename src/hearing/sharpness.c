/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/sharpness.h"

#include "base/absent.h"

#include <math.h>

/* Held to the reference sound by tests/hearing/sharpness.c. */
#define NORMALISATION_K 0.10785

double sharpness_acum(const double pattern[static ZWICKER_PATTERN_COUNT])
{
    double weighted = 0, sum = 0;
    for (size_t i = 0; i < ZWICKER_PATTERN_COUNT; i++) {
        double bark = (double)(i + 1) * 0.1;
        double weight = bark <= 15.8 ? 1 : 0.15 * exp(0.42 * (bark - 15.8)) + 0.85;
        weighted += pattern[i] * weight * bark;
        sum += pattern[i];
    }
    return sum > 0 ? NORMALISATION_K * weighted / sum : ABSENT;
}
