/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_MEDIAN_H
#define THRUM_BASE_MEDIAN_H

#include <stddef.h>

/* The median of `count` values, at least one; of an even number the upper of the two in the middle. Sorts them. */
double median(double *values, size_t count);

#endif
