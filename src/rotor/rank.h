/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_RANK_H
#define THRUM_ROTOR_RANK_H

/* Values by rank. Both functions reorder `values`; `count` is at least 1. */

#include <stddef.h>

/* The value that `rank` others come before, by partition (Hoare's FIND). */
double rank_value(double *values, size_t count, size_t rank);

/* The middle value, or the mean of both middle ones. */
double rank_median(double *values, size_t count);

#endif
