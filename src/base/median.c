/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/median.h"

#include <stdlib.h>

static int compare(const void *a, const void *b)
{
    const double *left = a, *right = b;
    return (*left > *right) - (*left < *right);
}

double median(double *values, size_t count)
{
    qsort(values, count, sizeof *values, compare);
    return values[count / 2];
}
