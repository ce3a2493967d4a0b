/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_SCATTER_H
#define THRUM_COMPARE_SCATTER_H

/* How much the runs of a grid scatter about their laws, and whether those laws are straight or curved:
 * docs/comparison.md, "Straight or curved" and "Scatter". */

#include "compare/grid.h"

/* Fills grid->scatter and weighs the laws. */
void scatter_judge(struct grid *grid);

/* Standard deviation of one run about the law of this cell, or about the mean of its repeats where the estimate is one,
 * and its degrees of freedom (0: none can be had). */
struct uncertainty grid_scatter(const struct grid *grid, const struct cell *cell, const struct estimate *estimate);

/* How far the truth at one operating value lies off the law of this cell, beside scatter: as the means of points do
 * where runs don't follow it, and of a quantity that is not smooth at least as much as one run scatters; else 0. */
struct uncertainty grid_deviation(const struct grid *grid, const struct cell *cell);

/* Of a fitted value: the scatter, and what is open between line and parabola (rectangular, GUM 4.3.7). */
struct uncertainty estimate_uncertainty(const struct grid *grid, const struct cell *cell,
                                        const struct estimate *estimate);

/* The law that tells of a cell's scatter: without upper bounds where that can be fitted; NULL when there is none. */
const struct law *cell_law(const struct cell *cell);

#endif
