/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "moving.h"

/* A small run of tests/bench/compare/coverage.c. Goals: 94 to 96 % for straight laws and 93 % or more for curved ones,
 * widened by three standard errors of a run of this length (they are printed). */
static struct coverage holds(const char *name, enum truth_kind kind, int campaigns,
                             void (*one)(struct random *, enum truth_kind, struct coverage *), double least_pct,
                             double most_pct)
{
    struct random random = { 20261003u + (uint64_t)kind };
    struct coverage coverage = { 0 };
    for (int i = 0; i < campaigns; i++)
        one(&random, kind, &coverage);
    double error_pct = coverage_error_pct(&coverage);
    tap_within(coverage_pct(&coverage), (least_pct + most_pct) / 2, (most_pct - least_pct) / 2 + 3 * error_pct,
               (most_pct - least_pct) / 2 + 3 * error_pct, "%s: truth held in %% (standard error %.2f)", name,
               error_pct);
    return coverage;
}

int main(void)
{
    const int count = 400, moving_count = 25;
    long refused = holds("straight laws", TRUTH_STRAIGHT, count, simulate_one, 94, 96).refused +
                   holds("parabolas", TRUTH_PARABOLA, count, simulate_one, 93, 97).refused +
                   holds("plateaus", TRUTH_PLATEAU, count, simulate_one, 93, 97).refused;
    tap_ok(refused == 0, "no point of an A-level refused (%ld)", refused);
    holds("third octaves with moving tones, straight laws", TRUTH_STRAIGHT, moving_count, moving_one, 94, 96);
    holds("third octaves with moving tones, parabolas", TRUTH_PARABOLA, moving_count, moving_one, 93, 97);
    return tap_done();
}
