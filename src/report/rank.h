/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_RANK_H
#define THRUM_REPORT_RANK_H

/* Which rotor is the quietest at a point, by the comparisons of A-levels. */

#include "report/view.h"

/* Of a variant from the reference, by the microphones of their comparison: 0 for the reference itself. False where
 * there is none. */
bool rank_difference(const struct view *view, double at, size_t variant, double *difference_db) MUST_CHECK;

/* The variant count when nothing is compared there. */
size_t rank_quietest(const struct view *view, double at);

/* The comparison of the quietest variant other than the reference; NULL when there is none. */
const struct comparison *rank_rival(const struct view *view, double at, size_t *variant);

/* Whether a variant is not compared at a point; whether any is not where `variant` is the quietest. */
bool rank_is_left_out(const struct view *view, double at, size_t variant);
bool rank_is_among_some(const struct view *view, size_t variant);

#endif
