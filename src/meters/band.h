/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_BAND_H
#define THRUM_METERS_BAND_H

/* Fractional-octave bands of IEC 61260-1:2014, base ten: G = 10^0.3, reference 1000 Hz (5.2, 5.3). Mid-frequencies by
 * 5.4 (b odd: fr G^(x/b), b even: fr G^((2x+1)/2b)), edges by 5.6. Nominal names: R10 series of ISO 266:1997 for 1/1
 * and 1/3; for narrower bands Annex E: three significant digits where the first is 1 to 4, two where it is 5 to 9 (from
 * memory). */

#include "meters/figures.h"

#include <stdbool.h>
#include <stddef.h>

/* The greatest part of the sampling rate that the upper edge of a band may take; bands above are absent. */
#define BAND_HIGHEST_EDGE 0.44

double band_mid_hz(int per_octave, int index);
double band_nominal_hz(int per_octave, int index);

/* Identity of one band; levels ABSENT. */
struct band band_make(int per_octave, int index);

/* True for 1, 3, 6, 12, 24. */
bool band_fraction_is_known(int per_octave);

/* First index and number of bands that belong to the audible range, 20 Hz to 20 kHz third-octave edges (1/1: 31.5 Hz to
 * 16 kHz), and fit the rate. */
void band_range(int per_octave, double sample_rate_hz, int *first_index, size_t *count);

#endif
