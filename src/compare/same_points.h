/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_SAME_POINTS_H
#define THRUM_COMPARE_SAME_POINTS_H

/* Operating points that two variants were both measured at, within 2 %: the means of their runs, with no law between.
 */

#include "compare/grid.h"

#include <stdbool.h>
#include <stddef.h>

struct same_point {
    double value;    /* geometric mean of both variants' operating values */
    double lg_ratio; /* lg(variant's value / reference's): how far they do not coincide */
    struct estimate variant, reference;
};

/* Pairs each operating point with the other variant's nearest one where each is the nearest of the other. Runs with
 * upper bounds make their point an upper bound. Allocates *points (the caller frees it). */
bool same_points_find(const struct cell *variant, const struct cell *reference, struct same_point **points,
                      size_t *count, struct err *err) MUST_CHECK;

/* Half width of the level's error for operating points that far apart, by the common rules (60 lg speed, 30 lg thrust,
 * 20 lg power: common practice). */
double same_point_mismatch_db(enum operating_quantity at, double lg_ratio);

#endif
