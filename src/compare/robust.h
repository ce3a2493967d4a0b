/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_ROBUST_H
#define THRUM_COMPARE_ROBUST_H

/* Middles that a few wild values don't move. */

#include <stddef.h>

/* Standard deviations per median of the absolute deviations, of a normal distribution. */
#define SCATTER_PER_MEDIAN 1.4826

/* Of an even number the mean of the two in the middle. Sorts them. */
double robust_middle(double *values, size_t count);

#endif
