/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_PAIRS_H
#define THRUM_COMPARE_PAIRS_H

/* Every variant against the reference on one axis: which microphones are set against each other, from fits where both
 * have three operating points, from coinciding points where not. */

#include "compare/axis.h"
#include "compare/compare.h"
#include "compare/difference.h"

#include <stdbool.h>
#include <stddef.h>

struct compare_job {
    struct grid_source source;
    size_t reference;
    struct comparisons *out;
    struct err *err;
};

/* Microphones of a pair: the same one for both where they share one. */
struct pairing {
    size_t variant, reference; /* variants */
    size_t variant_microphone, reference_microphone;
};

/* The pairings of two variants in this grid: one for each microphone that both have, else the two with most runs.
 * Returns how many of at most `room` were written; 0 when one of them has no runs. */
size_t pairs_find(const struct campaign *campaign, const struct grid *grid, size_t variant, size_t reference,
                  struct pairing *out, size_t room);

/* The difference at one operating value from the fits; is_given false with the reason where it is refused. */
void pair_difference(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                     double value, struct difference *out);

/* Adds the comparisons of all variants for the quantities of `grids` at the axis's points. Where fits can't be had, and
 * always when `same_points_too` is set, adds those at coinciding points. */
bool pairs_compare(const struct compare_job *job, const struct axis *axis, const struct grid *grids, size_t grid_count,
                   bool same_points_too) MUST_CHECK;

#endif
