/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_DECIMATOR_H
#define THRUM_METERS_DECIMATOR_H

/* Halves a sampling rate: a linear-phase half-band filter of 31 taps (Kaiser window), then every other value. Flat
 * within 0.0005 dB up to 0.15 of the input's rate, at least 85 dB down from 0.35 on, where what folds onto the kept
 * bands comes from (tests/meters/bands.c). Value i is about frame 2 i - 16 of the input. */

#include <stddef.h>

#define DECIMATOR_PAIRS ((size_t)8)            /* taps other than the centre, each used twice */
#define DECIMATOR_MARGIN (2 * DECIMATOR_PAIRS) /* values of the past that each half of the input needs */

struct decimator {
    double taps[DECIMATOR_PAIRS];
    double *even, *odd; /* DECIMATOR_MARGIN values of the past, then room for a piece's half; borrowed */
};

void decimator_init(struct decimator *decimator, double *even, double *odd);

/* frame_count / 2 values; frame_count is even but in the last call. */
void decimator_run(struct decimator *decimator, const double *input, size_t frame_count, double *output);

#endif
