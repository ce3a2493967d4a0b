/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_CASCADE_H
#define THRUM_METERS_CASCADE_H

/* A recursive filter with real poles, y = zeros(z) / prod(1 - p z^-1) x, computed four samples at a time. Each factor
 * 1 / (1 - p z^-1) is (1 + p z^-1 + p^2 z^-2 + p^3 z^-3) / (1 - p^4 z^-4): the numerators join the taps, which do not
 * feed back, and what does feed back reaches four samples, so that four neighbours are independent. That is exact but
 * for rounding. Lane by lane the bits are those of scalar code on every processor. Frames must come in multiples of
 * LANES; what is left at the end is padded by the caller. */

#include "base/lanes.h"

#include <stddef.h>

#define CASCADE_POLES_MAX 5
#define CASCADE_TAPS_MAX (5 + 3 * CASCADE_POLES_MAX) /* five zeros' taps and three for each pole */
#define CASCADE_MARGIN (CASCADE_TAPS_MAX - 1)

struct cascade {
    int tap_count, pole_count;
    double taps[CASCADE_TAPS_MAX];
    double poles4[CASCADE_POLES_MAX]; /* their fourth powers */
    lanes last[CASCADE_POLES_MAX];
};

/* At most five taps of zeros and CASCADE_POLES_MAX poles. */
void cascade_init(struct cascade *cascade, const double *zeros, int zero_tap_count, const double *poles,
                  int pole_count);

/* `input` is preceded by CASCADE_MARGIN values of the past. */
void cascade_run(struct cascade *cascade, const double *input, size_t frame_count, double *output);

#endif
