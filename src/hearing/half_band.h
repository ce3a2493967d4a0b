/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_HALF_BAND_H
#define THRUM_HEARING_HALF_BAND_H

/* Halves the rate of a signal in even blocks: linear-phase half-band filter, windowed ideal response (Kaiser). The
 * delay is 2 * pairs - 1 samples of the input. Owned by the caller, no allocation. */

#include <stddef.h>

#define HALF_BAND_MOST_PAIRS 12
#define HALF_BAND_MOST_BLOCK 3072 /* of the input */

struct half_band {
    size_t pairs;                                                     /* of taps beside the middle one */
    double tap[HALF_BAND_MOST_PAIRS];                                 /* of the pair 2 i + 1 from the middle */
    double even[HALF_BAND_MOST_BLOCK / 2 + 2 * HALF_BAND_MOST_PAIRS]; /* history, then the block */
    double odd[HALF_BAND_MOST_BLOCK / 2 + 2 * HALF_BAND_MOST_PAIRS];
};

/* The stop band is stop_db (50 to 90) down where there are enough pairs for the transition: 80 dB take 6 pairs when
 * what matters ends at 0.088 of the input rate, 10 at 0.177 (tests/hearing/filters.c). */
void half_band_init(struct half_band *filter, size_t pairs, double stop_db);

/* `count` even, at most HALF_BAND_MOST_BLOCK; `out` gets count / 2 values and may be `in`. */
void half_band_run(struct half_band *filter, const double *in, size_t count, double *out);

#endif
