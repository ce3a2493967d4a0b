/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_FLOOR_H
#define THRUM_ROTOR_FLOOR_H

/* The noise under the tones: for each line of an averaged spectrum the mean that the noise has there, in the scale of
 * spectrum.pa2. A running median in a window of at most the critical band, twice: the second time without the lines
 * that stood out and their neighbours. The median of a sum of squares lies below its mean; the ratio is the gamma
 * distribution's with as many degrees as the spectrum has independent blocks. A third of the lines may be tones.
 * Checked in tests/rotor/floor.c: flat and sloped noise of known density. */

#include "meters/figures.h"

#include "base/err.h"

#include <stdbool.h>

/* `noise_pa2` has room for spectrum->count values; all above 0 unless the spectrum is silent. */
bool floor_estimate(const struct spectrum *spectrum, double *noise_pa2, struct err *err) MUST_CHECK;

/* Independent blocks that the averaged ones are worth: Hann windows that overlap by half share (1/6)^2 of their power
 * (Welch 1967, from memory). */
double floor_independent_blocks(const struct spectrum *spectrum);

/* Ratio to the noise that a line of pure noise passes with less than `chance` a line. */
double floor_outlier_ratio(const struct spectrum *spectrum, double chance);

/* Width of the critical band around `hz`: 25 + 75 (1 + 1.4 (f/1 kHz)^2)^0.69 Hz (ECMA-418-1, clause 10; the equation
 * seen in public notes, the clause from memory). */
double critical_bandwidth_hz(double hz);

#endif
