/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Between a line and a parabola. Goals are closed forms by orthogonal polynomials of five points (Fisher and Yates,
 * Statistical Tables, table XXIII; sums of squares checked here): second degree 2 -1 -2 -1 2 of square sum 14, third
 * degree -1 2 0 -2 1 of square sum 10. A law of b times the second plus the third has the mean and slope 0, gains 14
 * b^2 by a parabola, which leaves 10 about itself. */
#include "tap.h"

#include "invent.h"

#include "compare/fit.h"
#include "compare/gum.h"

#define POINTS 5

static const double second[POINTS] = { 2, -1, -2, -1, 2 }, third[POINTS] = { -1, 2, 0, -2, 1 };

static double lg_thrust(int point)
{
    return 0.15 * point;
}

static double scalar(const double *a, const double *b)
{
    double sum = 0;
    for (int i = 0; i < POINTS; i++)
        sum += a[i] * b[i];
    return sum;
}

static void orthogonal(void)
{
    static const double one[POINTS] = { 1, 1, 1, 1, 1 }, first[POINTS] = { -2, -1, 0, 1, 2 };
    tap_ok(scalar(second, one) == 0 && scalar(second, first) == 0 && scalar(third, one) == 0 &&
               scalar(third, first) == 0 && scalar(third, second) == 0,
           "the polynomials are orthogonal");
    tap_ok(scalar(second, second) == 14 && scalar(third, third) == 10, "with the square sums of the table");
}

static void between(double weight)
{
    double x[POINTS];
    for (int i = 0; i < POINTS; i++)
        x[i] = lg_thrust(i);
    struct fit line, parabola;
    struct err err;
    if (!tap_ok(fit_polynomial(x, second, POINTS, 1, &line, &err) &&
                    fit_polynomial(x, second, POINTS, 2, &parabola, &err),
                "line and parabola"))
        return;
    struct fit fit = fit_between(&line, &parabola, weight);
    double sum = 0, value = 0;
    for (int i = 0; i < POINTS; i++) {
        sum += fit_weight(&fit, x[1], x[i]);
        value += fit_weight(&fit, x[1], x[i]) * second[i];
    }
    tap_near(fit_value(&fit, x[2]), -2 * weight, 1e-12, "value in the middle at weight %g", weight);
    tap_near(fit_leverage(&fit, x[2]), 1 / 5.0 + weight * 4 / 14, 1e-12, "leverage there");
    tap_near(sum, 1, 1e-12, "the weights of the runs add up");
    tap_near(value, fit_value(&fit, x[1]), 1e-12, "and reproduce the value");
    tap_near(fit.degrees_of_freedom, weight < 0.5 ? 3 : 2, 0, "degrees of freedom of the one with more weight");
}

/* Two rotors, of which one bends by b = sqrt(5 F / 7): F = (14 b^2 / 2) / (2 x 10 / 4). */
static struct comparisons bent(double f_ratio)
{
    static struct compare_point middle = { OPERATING_THRUST_N, 0 };
    struct invented *invented = invent_new(2);
    for (int i = 0; i < POINTS; i++) {
        double thrust_n = db_to_power_ratio(10 * lg_thrust(i));
        invent_run(invented, 0, thrust_n, 60 + third[i]);
        invent_run(invented, 1, thrust_n, 60 + third[i] + sqrt(5 * f_ratio / 7) * second[i]);
    }
    middle.value = db_to_power_ratio(10 * lg_thrust(2));
    invented->campaign.compare_points = &middle;
    invented->campaign.compare_point_count = 1;
    struct comparisons list = invent_compare(invented, 0);
    invent_free(invented);
    return list;
}

/* `squares`: what is left about the laws that have more weight, of both; `freedom` likewise. */
static void holds(double f_ratio, double weight, double squares, double freedom)
{
    struct comparisons list = bent(f_ratio);
    const struct comparison *item = invent_find(&list, OPERATING_THRUST_N, 2, "LAeq_db", "swept3");
    if (!tap_ok(item, "F = %g", f_ratio))
        return;
    double bend = sqrt(5 * f_ratio / 7), leverage = 1 / 5.0 + weight * 4 / 14;
    struct uncertainty parts[2] = { { sqrt(squares / freedom * 2 * leverage), freedom },
                                    uncertainty_rectangular(2 * bend * sqrt(1 - weight)) };
    struct uncertainty sum = uncertainty_sum(parts, 2);
    double reach = student_factor_two_sided(sum.degrees_of_freedom, 0.95) * sum.standard;
    tap_near(item->difference_db, -2 * bend * weight, 1e-9, "the parabola has the weight %g", weight);
    tap_near(item->ci95_high_db - item->difference_db, reach, 1e-6, "interval");
    tap_ok(strcmp(item->basis, weight > 0 ? "curve fit" : "line fit") == 0, "basis %s", item->basis);
    comparisons_clear(&list);
}

/* Means of points that lie off any parabola, by b times the fourth degree 1 -4 6 -4 1 of square sum 70, in two repeats
 * that lie `repeat` to both sides: F = (2 x 70 b^2 / 2) / (10 repeat^2 / 5) of the lack of fit (NIST/SEMATECH
 * e-Handbook of Statistical Methods, 4.4.4.6), here for two rotors alike. The truth lies off the law as the means do,
 * beside what repeats scatter. */
static void lack(double b, double repeat, bool is_told)
{
    static const double fourth[POINTS] = { 1, -4, 6, -4, 1 };
    static struct compare_point middle = { OPERATING_THRUST_N, 0 };
    struct invented *invented = invent_new(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 0; i < POINTS; i++)
            for (int k = -1; k <= 1; k += 2)
                invent_run(invented, v, db_to_power_ratio(10 * lg_thrust(i)), 60 + b * fourth[i] + repeat * k);
    middle.value = db_to_power_ratio(10 * lg_thrust(2));
    invented->campaign.compare_points = &middle;
    invented->campaign.compare_point_count = 1;
    struct comparisons list = invent_compare(invented, 0);
    const struct comparison *item = invent_find(&list, OPERATING_THRUST_N, 2, "LAeq_db", "swept3");
    double pure = 2 * repeat * repeat, means = 2 * 70 * b * b / 3; /* variances of one run, by repeats and by means */
    double all = (2 * 70 * b * b + 10 * repeat * repeat) / 8, leverage = 1 / 10.0;
    struct uncertainty told[2] = { { sqrt(2 * means * leverage), 6 }, { sqrt(2 * (means - pure) / 2), 6 } };
    struct uncertainty silent = { sqrt(2 * all * leverage), 16 };
    struct uncertainty sum = is_told ? uncertainty_sum(told, 2) : silent;
    if (tap_ok(item, "lack of fit, F = %g", 70 * b * b / pure))
        tap_near(item->ci95_high_db - item->difference_db,
                 student_factor_two_sided(sum.degrees_of_freedom, 0.95) * sum.standard, 1e-6, "interval, lack %s",
                 is_told ? "told" : "not told");
    comparisons_clear(&list);
    invent_free(invented);
}

int main(void)
{
    orthogonal();
    between(0);
    between(0.25);
    between(0.75);
    between(1);
    holds(8, 0.75, 20, 4);
    double f_ratio = 2.5; /* the line keeps more weight: what the parabola gains stays in its squares */
    holds(f_ratio, 0.2, 20 + 14 * 5 * f_ratio / 7, 6);
    f_ratio = 1.9;
    holds(f_ratio, 0, 20 + 14 * 5 * f_ratio / 7, 6);
    lack(0.1, 0.1, true);
    lack(0.1, 0.5, false);
    return tap_done();
}
