/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "simulate.h"

/* A small run of tests/bench/compare/coverage.c. Goals: 94 to 96 % for straight laws and 93 % or more for curved ones,
 * widened by three standard errors of a run of this length (they are printed). */
static void holds(enum truth_kind kind, const char *name, double least_pct, double most_pct)
{
    struct random random = { 20261003u + (uint64_t)kind };
    struct coverage coverage = { 0 };
    for (int i = 0; i < 400; i++)
        simulate_one(&random, kind, &coverage);
    double error_pct = coverage_error_pct(&coverage);
    tap_within(coverage_pct(&coverage), (least_pct + most_pct) / 2, (most_pct - least_pct) / 2 + 3 * error_pct,
               (most_pct - least_pct) / 2 + 3 * error_pct, "%s laws: truth held in %% (standard error %.2f)", name,
               error_pct);
    tap_ok(coverage.refused == 0, "%s laws: no point refused (%ld)", name, coverage.refused);
}

int main(void)
{
    holds(TRUTH_STRAIGHT, "straight", 94, 96);
    holds(TRUTH_PARABOLA, "parabolic", 93, 97);
    holds(TRUTH_PLATEAU, "plateau", 93, 97);
    return tap_done();
}
