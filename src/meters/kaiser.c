/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/kaiser.h"

#include <math.h>

double kaiser_window(double x, double beta)
{
    double half = 0.5 * beta * sqrt(fmax(0, 1 - x * x)), term = 1, sum = 1;
    for (int k = 1; k < 60; k++) {
        term *= (half / k) * (half / k);
        sum += term;
    }
    return sum;
}
