/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_SUMS_H
#define THRUM_METERS_SUMS_H

/* Sums and maxima over runs of samples, in an order that is fixed and lets the compiler take several at a time: the
 * same bits on every processor. The relative error of a sum of squares is below count / 8 ulp. */

#include <stddef.h>

double sum_of_squares(const double *values, size_t count);

/* sums[h]: sum_of_squares of the `hop` values from h * hop on. */
void sums_of_hops(const double *values, size_t hop, size_t hop_count, double *sums);

/* Greatest |1.8 v[i] - 0.4 (v[i - 1] + v[i + 1])|; v[-1] and v[count] are read. */
double sum_greatest_sharpened(const double *values, size_t count);

#endif
