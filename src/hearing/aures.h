/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_AURES_H
#define THRUM_HEARING_AURES_H

/* Tonality of a whole sound after Aures 1985, in tonality units (1: a 1 kHz tone of 60 dB): the measure that the
 * annoyance of Di et al. is built on. K = 1.09 w_T^0.29 w_Gr^0.79 with weights for each tone's bandwidth, frequency and
 * height above what masks it (other tones, noise of its critical band, threshold; Terhardt 1979), and w_Gr the share of
 * loudness that the tones bring. From memory; the definition comes out as 0.99 (tests/hearing/tonality.c). Loudness by
 * zwicker.h in the free field from ideal third octaves of the spectrum. Needs absolute levels. */

#include "base/err.h"
#include "meters/figures.h"

#include <stdbool.h>
#include <stddef.h>

/* Tones at `hz` (ascending). 0 without tones or in silence; ABSENT when the spectrum ends below the 10 kHz band. */
bool aures_tonality(const struct spectrum *spectrum, const double *hz, size_t count, double *tonality_tu,
                    struct err *err) MUST_CHECK;

#endif
