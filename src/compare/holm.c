/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/holm.h"

#include "base/absent.h"

#include <math.h>

void holm_step_down(const double *probabilities, size_t count, double level, bool *stands)
{
    size_t left = 0;
    for (size_t i = 0; i < count; i++) {
        stands[i] = false;
        left += is_given(probabilities[i]);
    }
    while (left > 0) {
        double least = HUGE_VAL;
        for (size_t i = 0; i < count; i++)
            if (!stands[i] && probabilities[i] < least)
                least = probabilities[i];
        if (!(least <= level / (double)left))
            return;
        for (size_t i = 0; i < count; i++)
            if (!stands[i] && probabilities[i] == least) {
                stands[i] = true;
                left--;
            }
    }
}
