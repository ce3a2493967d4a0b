/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TOOLS_DEMO_TRUTH_H
#define THRUM_TOOLS_DEMO_TRUTH_H

/* What the demo's recordings hold, said by means that share no code with the meters: a transform over one period of the
 * samples as written, its lines weighted in closed form (demo-response.h) and added. The sound repeats after the
 * period, so the lines are exact and so is the level over any whole number of periods. Writes truth.json. */

#include "base/err.h"
#include "base/text.h"
#include "demo-synth.h"

#include <stdbool.h>

#define DEMO_BAND_COUNT 30 /* third octaves, 20 Hz to 16 kHz: the next does not fit the rate */

/* A level over a period, and what tells how far the level over more or less than a period may be off: the mean square
 * over T seconds has the relative standard deviation sqrt(d / noise_bandwidth) / T, d being how much T is longer or
 * shorter than a whole number of periods. */
struct demo_level {
    double db, noise_bandwidth_hz;
};

struct demo_levels {
    struct demo_level laeq, lceq, lzeq;
};

/* A third-octave band: between its ideal edges, through the filter that thrum says it has, and the least and most that
 * a class 1 filter may show. */
struct demo_band {
    double exact_hz, inside_db, class1_low_db, class1_high_db;
    struct demo_level filtered;
};

bool demo_measure(const struct demo_made *made, struct demo_levels *levels, struct demo_band bands[DEMO_BAND_COUNT],
                  struct err *err) MUST_CHECK;

/* A-level of a rotor by its law alone, without background and scatter. */
double demo_law_laeq_db(const struct demo_variant *variant, double rpm);

/* The parts of truth.json, added to `json` in this order. */
void demo_truth_begin(struct text *json);
bool demo_truth_run(struct text *json, size_t index, const struct demo_made *made, struct err *err) MUST_CHECK;
bool demo_truth_end(struct text *json, const struct demo_made *background, struct err *err) MUST_CHECK;

#endif
