/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_REPORT_FIXTURE_PARTS_H
#define THRUM_TESTS_REPORT_FIXTURE_PARTS_H

/* The parts that a fixture is put together from. */

#include "compare/results.h"

#include <stdbool.h>
#include <stddef.h>

#define VARIANT_COUNT 3
#define POINT_COUNT 4
#define REPEAT_COUNT 2

struct law { /* level = level_db + slope lg(thrust / 3 N), speed = rpm sqrt(thrust / 3 N) */
    const char *name, *title;
    int blades;
    double diameter_mm, level_db, slope_db, rpm, power_w;
};

extern const struct law fixture_laws[VARIANT_COUNT];

double fixture_scatter(unsigned seed);
double fixture_level_db(size_t variant, double thrust_n);
double fixture_band_db(size_t variant, double thrust_n, double hz);

void fixture_run(struct run_result *run, size_t variant, double thrust_n, unsigned seed, bool is_uncalibrated);
void fixture_run_failed(struct run_result *run);
void fixture_findings(struct results *results);
void fixture_comparisons(struct results *results, bool is_absolute);
void fixture_what_ifs(struct comparisons *out);

#endif
