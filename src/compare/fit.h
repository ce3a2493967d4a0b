/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_FIT_H
#define THRUM_COMPARE_FIT_H

/* Least squares of a straight line or a parabola, with what intervals need: the leverage of a point and the weight that
 * each run has in the fitted value there. x is centred and scaled before GSL's linear least squares (singular values),
 * so the digits do not depend on where on the axis the data lie. Plain data, owns nothing. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

struct fit {
    int degree;                /* 1 or 2 */
    double centre, half_width; /* of x; the polynomial is in (x - centre) / half_width */
    double low, high;          /* range of x */
    double coefficients[3];
    double inverse[3][3]; /* (X'X)^-1 of the scaled polynomial; 0 beyond its degree */
    double residual_squares;
    double degrees_of_freedom; /* count - degree - 1; may be 0 */
    size_t count;
};

/* False when there are fewer than degree + 1 different x (ERR_MISSING) or no memory. */
bool fit_polynomial(const double *x, const double *y, size_t count, int degree, struct fit *out,
                    struct err *err) MUST_CHECK;

/* What lies between a line and a parabola through the same runs: the parabola has the weight `weight`, 0 to 1, in
 * values, in leverages and in the weights of runs. What is left about it, and its degrees of freedom, are those of the
 * one with more weight. */
struct fit fit_between(const struct fit *line, const struct fit *parabola, double weight);

double fit_value(const struct fit *fit, double x);
double fit_slope(const struct fit *fit, double x); /* dy/dx */

/* Variance of the fitted value at x in units of the variance of one run: x'(X'X)^-1 x. */
double fit_leverage(const struct fit *fit, double x);

/* Variance of the slope at x, same units. */
double fit_slope_leverage(const struct fit *fit, double x);

/* The weight that a run at `run_x` has in the fitted value at `x`: the fitted value is the sum of weights times y. */
double fit_weight(const struct fit *fit, double x, double run_x);

#endif
