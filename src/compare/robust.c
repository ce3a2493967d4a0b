/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/robust.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

double robust_middle(double *values, size_t count)
{
    gsl_sort(values, 1, count);
    return gsl_stats_median_from_sorted_data(values, 1, count);
}
