/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_ORDER_H
#define THRUM_ROTOR_ORDER_H

/* The sound over shaft angle: resampled at equal steps of the shaft's turn along a speed track, so that lines tied to
 * the shaft stay sharp while the speed moves. The step is the mean speed's share of the sampling rate, so that the
 * spectrum of it reads in Hz at the mean speed, in the scale of any other spectrum. Interpolation by a Kaiser-windowed
 * sinc of 32 samples, 256 phases with straight lines between: an order at a tenth of the rate keeps its level within
 * 0.001 dB (tests/rotor/second.c; straight interpolation alone would lose 4.9 %, closed form 1 - cos(pi f / rate)).
 * Lines fixed in Hz smear here; noise is to be read from the plain spectrum where the speed moves much. */

#include "rotor/track.h"

#include <stdbool.h>

/* block_count 0 and pa2 NULL where the turns do not fill a block. */
bool order_spectrum(struct pressure *pressure, const struct track *track, size_t block_frames, struct spectrum *out,
                    struct err *err) MUST_CHECK;

#endif
