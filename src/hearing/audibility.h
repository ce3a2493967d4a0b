/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_AUDIBILITY_H
#define THRUM_HEARING_AUDIBILITY_H

/* Audibility of tones in noise after ISO/PAS 20065:2016 (engineering method) and the adjustment K_T of ISO 1996-2:2017,
 * annex J. The standards' bodies were not read: steps and tables are from memory, so no conformance is claimed. Known
 * differences: one spectrum averaged over the whole used part stands in for the energy mean over spectra of 3 s, which
 * is the same in steady noise and reads less where the tone wanders from line to line; and of the distinctness criteria
 * only the one of bandwidth is asked (the one of slope could not be recalled safely).
 *
 * Line spacing is 1.9 to 4 Hz as the standard has it. A finer spectrum is brought to it by the power response of a Hann
 * window of the coarser spacing; a coarser one can't be rated. */

#include "base/err.h"
#include "meters/figures.h"

#include <stdbool.h>
#include <stddef.h>

#define AUDIBILITY_LOWEST_HZ 50.0 /* not validated below */
#define AUDIBILITY_LEAST_SPACING_HZ 1.9
#define AUDIBILITY_MOST_SPACING_HZ 4.0

struct audibility_rating {
    double audibility_db;     /* tone level above what the noise masks; ABSENT where it can't be rated */
    double uncertainty_db;    /* extended, 90 % two-sided (k = 1.645) */
    double tone_db, noise_db; /* A-weighted level of the tone, and of the critical band's noise */
    bool is_distinct;         /* narrow enough to be heard as a tone */
    bool is_primary;          /* false: heard as one with a stronger tone, whose audibility holds its power too */
};

/* a_v of a tone: the level relative to its critical band's noise at which it is just heard. dB, negative. */
double masking_index_db(double hz);

/* K_T for a decisive audibility: 0 to 6 dB, steps at 0, 2, 4, 6, 9, 12 dB, each step's upper end included. -1 for
 * ABSENT. */
int tonal_adjustment_db(double audibility_db);

bool audibility_can_rate(const struct spectrum *spectrum);

/* Rates tones at `hz` (ascending). The strongest of those heard as one in a critical band (tone_groups.h) carries their
 * sum, the others have what their own lines hold. Lines end where the next tone's begin (tone_lines.h); a tone that no
 * valley parts from a stronger one at this spacing can't be rated. One that does not stand 6 dB above the mean
 * narrow-band level has the audibility of a single line there. */
bool audibility_rate(const struct spectrum *spectrum, const double *hz, size_t count, struct audibility_rating *out,
                     struct err *err) MUST_CHECK;

#endif
