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

/* `transition` is the width between pass and stop band as a part of the input rate. Stop band 80 dB down when pairs are
 * enough for the transition: 4 for 0.35, 8 for 0.2. */
void half_band_init(struct half_band *filter, size_t pairs, double stop_db);

/* `count` even, at most HALF_BAND_MOST_BLOCK; `out` gets count / 2 values and may be `in`. */
void half_band_run(struct half_band *filter, const double *in, size_t count, double *out);

#endif
