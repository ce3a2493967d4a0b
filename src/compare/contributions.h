/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_CONTRIBUTIONS_H
#define THRUM_COMPARE_CONTRIBUTIONS_H

/* Where an A-level difference comes from. With the A-weighted energies E of the parts of both spectra and D the
 * difference of the fitted A-levels, part i carries
 *     D_i = D (E_i,variant - E_i,reference) / (E_variant - E_reference)     (10 / ln 10 (E_iv - E_ir) / E where equal),
 * so that the parts add up to D exactly, a part that is louder than before has the sign of louder, and swapping the two
 * variants changes every sign. Two families, each of which adds up to D: third octaves with "outside the bands", and
 * blade tones, other tones, broadband. Nothing is told where a level is only an upper bound. A third octave
 * that no law tells because tones move through it has its part of the A-level of the runs nearest to the point, with
 * their tones where they lie there; a remark says how many are so. */

#include "compare/pairs.h"

#include <stdbool.h>

bool contributions_add(const struct compare_job *job, const struct axis_grids *grids, const struct pairing *pairing,
                       const struct place_of_comparison *place) MUST_CHECK;

#endif
