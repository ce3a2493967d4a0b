/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "compare/fit.h"
#include "compare/law.h"

/* Eight thrusts with L = 60 + 28 lg T plus a fixed deviation. Goals: least squares by the normal equations, worked
 * independently of this program (numpy's lstsq) to eight digits. */
static void regression_data(void)
{
    static const double thrust_n[] = { 1, 2, 3, 4, 5, 6, 8, 10 };
    static const double deviation_db[] = { 0.3, -0.2, 0.1, -0.4, 0.2, 0.1, -0.2, 0.1 };
    double x[8], y[8];
    for (int i = 0; i < 8; i++) {
        x[i] = log10(thrust_n[i]);
        y[i] = 60 + 28 * x[i] + deviation_db[i];
    }
    struct fit fit;
    struct err err;
    if (!tap_ok(fit_polynomial(x, y, 8, 1, &fit, &err), "a straight line through eight runs"))
        return;
    double scatter = sqrt(fit.residual_squares / fit.degrees_of_freedom);
    tap_near(fit_value(&fit, 0), 60.091358, 5e-7, "intercept, dB");
    tap_near(fit_slope(&fit, 0.5), 27.846471, 5e-7, "slope, dB per decade");
    tap_near(scatter, 0.25236894, 5e-9, "residual standard deviation, dB");
    tap_near(scatter * sqrt(fit_slope_leverage(&fit, 0)), 0.28992852, 5e-9, "standard error of the slope");
    tap_near(scatter * sqrt(fit_leverage(&fit, log10(5))), 0.094175318, 5e-10, "standard error of the level at 5 N");
}

/* Closed form: the weights of the runs reproduce the fitted value, add up to 1, and their squares to the leverage. */
static void weights_are_the_fit(int degree)
{
    static const double x[] = { 0.1, 0.1, 0.25, 0.4, 0.55, 0.55, 0.9 };
    static const double y[] = { 50, 50.4, 55, 57.2, 60.9, 61.4, 70 };
    struct fit fit;
    struct err err;
    if (!tap_ok(fit_polynomial(x, y, 7, degree, &fit, &err), "degree %d through seven runs", degree))
        return;
    double sum = 0, value = 0, squares = 0;
    for (int i = 0; i < 7; i++) {
        double weight = fit_weight(&fit, 0.3, x[i]);
        sum += weight;
        value += weight * y[i];
        squares += weight * weight;
    }
    tap_near(sum, 1, 1e-13, "weights add up");
    tap_near(value, fit_value(&fit, 0.3), 1e-11, "weights reproduce the fitted value");
    tap_near(squares, fit_leverage(&fit, 0.3), 1e-13, "squares of the weights are the leverage");
}

static void too_few(void)
{
    static const double x[] = { 1, 1, 2, 2 }, y[] = { 1, 2, 3, 4 };
    struct fit fit;
    struct err err;
    tap_ok(!fit_polynomial(x, y, 4, 2, &fit, &err) && err.kind == ERR_MISSING,
           "a parabola through two points is refused");
    tap_ok(fit_polynomial(x, y, 4, 1, &fit, &err), "a line through two points with repeats");
    tap_ok(!fit_polynomial(x, y, 2, 1, &fit, &err), "a line through one point is refused");
}

int main(void)
{
    regression_data();
    weights_are_the_fit(1);
    weights_are_the_fit(2);
    too_few();
    return tap_done();
}
