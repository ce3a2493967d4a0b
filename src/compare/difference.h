/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_DIFFERENCE_H
#define THRUM_COMPARE_DIFFERENCE_H

/* The difference of two variants with its 95 % interval, from scatter and from what does not cancel between them (GUM
 * 5.1.2, 5.2, G.4). Swapping the two changes the sign of every number and nothing else. */

#include "compare/budget.h"
#include "compare/grid.h"

#include <stdbool.h>
#include <stddef.h>

struct difference {
    bool is_given;
    double variant_value, reference_value; /* in the quantity's own unit */
    double variant_low, variant_high, reference_low, reference_high;
    double value, low, high; /* variant minus reference */
    double probability;      /* of a difference at least as large where there is none; ABSENT without an interval */
    int variant_run_count, reference_run_count;
    bool is_curved;
    struct component components[COMPONENT_MAX];
    size_t component_count;
    char reason[300]; /* refused, or why there is no interval */
};

/* The values of each side that is given, with their own intervals. */
void difference_own_values(const struct grid *grid, const struct cell *variant_cell, const struct cell *reference_cell,
                           const struct estimate *variant, const struct estimate *reference, struct difference *out);

/* Estimates may come from a fit (grid_estimate) or from coinciding points (same_points.h). `mismatch_db` is the half
 * width of the level's error from operating points that do not quite coincide; 0 for fits. */
void difference_compute(const struct campaign *campaign, const struct run_result *runs, const struct grid *grid,
                        const struct cell *variant_cell, const struct cell *reference_cell,
                        const struct estimate *variant, const struct estimate *reference, double mismatch_db,
                        struct difference *out);

#endif
