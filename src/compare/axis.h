/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_AXIS_H
#define THRUM_COMPARE_AXIS_H

/* One operating quantity over the whole campaign: which variants have it, in what range, and at which of its values
 * they are compared. */

#include "compare/grid.h"

#include <stdbool.h>
#include <stddef.h>

struct points {
    double values[COMPARE_POINTS_MAX];
    size_t count;
};

struct axis {
    enum operating_quantity at;
    bool is_everywhere;   /* every variant with usable runs has it */
    size_t variant_count; /* that have it; 0 when the reference does not */
    bool is_asked;        /* by compare_at */
    struct points points; /* asked for, or spread over the range that all of them share; none when they share none */
};

/* Range of a variant's usable runs on this axis; false when it has none. */
bool axis_range(const struct grid_source *source, size_t variant, enum operating_quantity at, double *low,
                double *high) MUST_CHECK;

void axis_find(const struct grid_source *source, size_t reference, enum operating_quantity at, struct axis *out);

/* The axis's points, or those spread over what the two share where all together share nothing. */
struct points axis_pair_points(const struct grid_source *source, const struct axis *axis, size_t variant,
                               size_t reference);

/* The axis that the report is about: the first one asked for, else the first that is everywhere, else the first of
 * those that most variants and the reference have, in operating_order. False when there is none. */
bool axis_primary(const struct axis axes[OPERATING_QUANTITY_COUNT], enum operating_quantity *out) MUST_CHECK;

#endif
