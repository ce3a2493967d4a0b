/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fits and factors of seeded data as JSON lines, for scipy_check.py to work out again. */

#include "simulate.h"

#include "compare/fit.h"
#include "compare/gum.h"

int main(void)
{
    struct random random = { 4711 };
    for (int set = 0; set < 40; set++) {
        double x[24], y[24];
        size_t count = 5 + (size_t)random_between(&random, 0, 20);
        int degree = 1 + set % 2;
        for (size_t i = 0; i < count; i++) {
            x[i] = random_between(&random, 3.5, 4.1); /* lg of some thousand rev/min: far from 0 */
            y[i] = -150 + 55 * x[i] + 20 * (x[i] - 3.8) * (x[i] - 3.8) + random_normal(&random);
        }
        struct fit fit;
        struct err err;
        if (!fit_polynomial(x, y, count, degree, &fit, &err)) {
            fprintf(stderr, "%s\n", err.text);
            return EXIT_FAILURE;
        }
        printf("{\"degree\": %d, \"x\": [", degree);
        for (size_t i = 0; i < count; i++)
            printf("%s%.17g", i ? ", " : "", x[i]);
        printf("], \"y\": [");
        for (size_t i = 0; i < count; i++)
            printf("%s%.17g", i ? ", " : "", y[i]);
        double confidence = 0.95, degrees = fit.degrees_of_freedom + 0.37;
        printf("], \"at\": 3.77, \"value\": %.17g, \"slope\": %.17g, \"leverage\": %.17g, \"slope_leverage\": %.17g, "
               "\"squares\": %.17g, \"degrees\": %.17g, \"factor\": %.17g, \"tail\": %.17g}\n",
               fit_value(&fit, 3.77), fit_slope(&fit, 3.77), fit_leverage(&fit, 3.77), fit_slope_leverage(&fit, 3.77),
               fit.residual_squares, degrees, student_factor_two_sided(degrees, confidence),
               student_tail_two_sided(1.5, degrees));
    }
    return EXIT_SUCCESS;
}
