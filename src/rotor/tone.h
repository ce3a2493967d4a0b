/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_TONE_H
#define THRUM_ROTOR_TONE_H

/* The tones that stand out of an averaged Hann spectrum. A tone is a local maximum that noise of this many blocks
 * reaches less than once in ten million lines, and at least 6 dB above the noise in its line (the step of ISO/PAS
 * 20065:2016, from memory), and that is no side lobe of a stronger one. Its power is the sum of its lines less the
 * noise, so that a tone between two lines loses nothing; its frequency comes from the two highest lines by the Hann
 * window's own shape, or from the centre of power where drift has made it wider than a main lobe. Two tones are kept
 * apart from three lines on. Measured in tests/rotor/tone.c: frequency within 0.02 % or 0.05 Hz, level within 0.1 dB,
 * for tones 20 dB above the noise in their critical band. */

#include "rotor/rotor.h"

#include <stdbool.h>
#include <stddef.h>

/* *tones (owned by the caller, free) by frequency; only what the spectrum says is filled, no source. At most TONES_MAX
 * are kept, those that stand out most. */
#define TONES_MAX 400
#define TONE_CHANCE                                                                                                    \
    1e-7 /* that noise makes a false one, a line; more where a comb is looked for near a known place                   \
          */
#define TONE_STEADY_LINES 0.12 /* standard uncertainty of a steady tone's frequency, in lines, at the most */
bool tones_find(const struct spectrum *spectrum, const double *noise_pa2, double false_chance, struct tone **tones,
                size_t *count, struct err *err) MUST_CHECK;

/* How far a line must stand out of the noise to be a tone. */
double tone_least_ratio_db(const struct spectrum *spectrum, double false_chance);

/* A tone with everything absent. */
struct tone tone_nothing(void);

/* Mean square of the noise in the critical band around `hz`. */
double tone_noise_pa2(const struct spectrum *spectrum, const double *noise_pa2, double hz);

#endif
