/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_PAIRS_H
#define THRUM_COMPARE_PAIRS_H

/* Every variant against the reference on one axis: from fits where both have three operating points, from coinciding
 * points where not. */

#include "compare/axis.h"
#include "compare/band_shelf.h"
#include "compare/pairing.h"

#include <stdbool.h>
#include <stddef.h>

/* The grids of one axis: the A-level first. Shares (quantity_is_share) are for the contributions only. */
struct axis_grids {
    const struct axis *axis;
    struct grid *items;
    size_t count;
    struct band_shelf *shelf;            /* the bands at each place */
    const struct grid *without_doubtful; /* of the A-level; NULL: no doubtful runs, or not asked for */
    const struct grid *without_far_off;  /* the same of runs far off the others */
    bool is_primary;                     /* contributions, and the answer without doubtful runs */
    bool with_same_points;               /* besides the fits, all points that coincide */
};

bool pairs_compare(const struct compare_job *job, const struct axis_grids *grids) MUST_CHECK;

#endif
