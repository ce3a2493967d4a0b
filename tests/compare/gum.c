/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "compare/gum.h"
#include "compare/holm.h"

/* Coverage factors, JCGM 100:2008 table G.2 (also NIST TN 1297 table B.1): k for 95 % and 95.45 %, printed with two
 * decimals (three at 100). */
static const struct {
    double degrees_of_freedom, k_95, k_95_45, rounding;
} student_table[] = {
    { 1, 12.71, 13.97, 0.005 },         { 2, 4.30, 4.53, 0.005 },  { 3, 3.18, 3.31, 0.005 },
    { 4, 2.78, 2.87, 0.005 },           { 5, 2.57, 2.65, 0.005 },  { 6, 2.45, 2.52, 0.005 },
    { 7, 2.36, 2.43, 0.005 },           { 8, 2.31, 2.37, 0.005 },  { 9, 2.26, 2.32, 0.005 },
    { 10, 2.23, 2.28, 0.005 },          { 11, 2.20, 2.25, 0.005 }, { 12, 2.18, 2.23, 0.005 },
    { 13, 2.16, 2.21, 0.005 },          { 14, 2.14, 2.20, 0.005 }, { 15, 2.13, 2.18, 0.005 },
    { 16, 2.12, 2.17, 0.005 },          { 17, 2.11, 2.16, 0.005 }, { 18, 2.10, 2.15, 0.005 },
    { 19, 2.09, 2.14, 0.005 },          { 20, 2.09, 2.13, 0.005 }, { 25, 2.06, 2.11, 0.005 },
    { 30, 2.04, 2.09, 0.005 },          { 35, 2.03, 2.07, 0.005 }, { 40, 2.02, 2.06, 0.005 },
    { 45, 2.01, 2.06, 0.005 },          { 50, 2.01, 2.05, 0.005 }, { 100, 1.984, 2.025, 0.0005 },
    { INFINITY, 1.960, 2.000, 0.0005 },
};

static void student_factors(void)
{
    for (size_t i = 0; i < sizeof student_table / sizeof student_table[0]; i++) {
        double degrees = student_table[i].degrees_of_freedom, rounding = student_table[i].rounding;
        tap_near(student_factor_two_sided(degrees, 0.95), student_table[i].k_95, rounding, "95 %%, %g", degrees);
        /* the table's column holds 95.45 % (two standard deviations of the normal distribution) */
        tap_near(student_factor_two_sided(degrees, 0.9545), student_table[i].k_95_45, rounding, "95.45 %%, %g",
                 degrees);
    }
    tap_ok(!(student_factor_two_sided(0, 0.95) > 0), "no factor without degrees of freedom");
    /* one side at 97.5 % is the same limit as two sides at 95 % */
    tap_near(student_factor_one_sided(7.5, 0.975), student_factor_two_sided(7.5, 0.95), 1e-12, "one side, two sides");
    tap_near(student_tail_two_sided(student_factor_two_sided(4.4, 0.95), 4.4), 0.05, 1e-10, "tail of the factor");
}

/* JCGM 100:2008 example H.1.6, end gauge: components 25, 9.7, 2.9 and 16.6 nm with 18, 25.6, 50 and 2 degrees of
 * freedom give u = 32 nm and 16.7 effective degrees (from memory; the printed components are rounded). */
static void end_gauge(void)
{
    static const struct uncertainty components[] = { { 25, 18 }, { 9.7, 25.6 }, { 2.9, 50 }, { 16.6, 2 } };
    struct uncertainty sum = uncertainty_sum(components, 4);
    tap_near(sum.standard, 32, 0.5, "combined standard uncertainty, nm");
    tap_near(sum.degrees_of_freedom, 16.7, 0.1, "effective degrees of freedom");
}

static void sums(void)
{
    /* two alike: the variances add, the degrees of freedom too (GUM G.4.1) */
    static const struct uncertainty alike[] = { { 0.3, 5 }, { 0.3, 5 } };
    struct uncertainty sum = uncertainty_sum(alike, 2);
    tap_near(sum.standard, 0.3 * sqrt(2), 1e-15, "two alike");
    tap_near(sum.degrees_of_freedom, 10, 1e-12, "two alike: degrees of freedom");
    static const struct uncertainty mixed[] = { { 0.3, 5 }, { 0.4, INFINITY } };
    sum = uncertainty_sum(mixed, 2);
    tap_near(sum.standard, 0.5, 1e-15, "3-4-5");
    tap_near(sum.degrees_of_freedom, 5 * 0.0625 / 0.0081, 1e-10, "only the scatter limits the degrees of freedom");
    tap_near(uncertainty_rectangular(0.25).standard, 0.144, 0.0005, "rectangular 0.25 dB (calibrator class 1)");
    tap_near(uncertainty_rectangular(0.40).standard, 0.231, 0.0005, "rectangular 0.40 dB (calibrator class 2)");
}

/* Four hypotheses with p = 0.01, 0.04, 0.03, 0.005 at 5 %: the first and the last stand (the textbook's example of the
 * step-down: 0.005 <= 0.05/4, 0.01 <= 0.05/3, 0.03 > 0.05/2 ends it). */
static void holm_by_hand(void)
{
    static const double probabilities[] = { 0.01, 0.04, NAN, 0.03, 0.005 };
    bool stands[5];
    holm_step_down(probabilities, 5, 0.05, stands);
    tap_ok(stands[0] && !stands[1] && !stands[2] && !stands[3] && stands[4], "Holm's example");
    static const double ties[] = { 0.02, 0.02, 0.02 };
    holm_step_down(ties, 3, 0.05, stands);
    tap_ok(!stands[0] && !stands[1] && !stands[2], "ties above the first step");
    static const double real[] = { 0.016, 0.016, 0.049 };
    holm_step_down(real, 3, 0.05, stands);
    tap_ok(stands[0] && stands[1] && stands[2], "ties at the first step, then the last");
}

int main(void)
{
    student_factors();
    end_gauge();
    sums();
    holm_by_hand();
    return tap_done();
}
