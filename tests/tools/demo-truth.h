/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TOOLS_DEMO_TRUTH_H
#define THRUM_TOOLS_DEMO_TRUTH_H

/* What the demo's recordings hold, said by means that share no code with the meters: a transform over the whole file as
 * written (16-bit samples), its lines weighted by the analytic curves of IEC 61672-1:2013 (Annex E) and added. The
 * files repeat without a seam, so the lines are exact; the level of a part is that of the weighted file, transformed
 * back, over the part. Writes truth.json. */

#include "base/err.h"
#include "base/text.h"
#include "demo-synth.h"

#include <stdbool.h>

#define DEMO_BAND_COUNT 31 /* third octaves, 20 Hz to 20 kHz */

struct demo_levels {
    double laeq_db, lceq_db, lzeq_db;
};

/* Level of a third-octave band between the ideal edges, and the least and greatest that a class 1 filter may show. */
struct demo_band {
    double exact_hz, level_db, class1_low_db, class1_high_db;
};

/* Analytic weightings as power ratios, exactly 1 at 1 kHz. */
double demo_a_weighting(double hz);
double demo_c_weighting(double hz);

/* Levels over [start_s, end_s] and bands over the whole file, of samples made at `gain_db`. */
bool demo_measure(const struct demo_made *made, double gain_db, double start_s, double end_s,
                  struct demo_levels *levels, struct demo_band bands[DEMO_BAND_COUNT], struct err *err) MUST_CHECK;

/* A-level of a rotor by its law alone, without background and scatter. */
double demo_law_laeq_db(const struct demo_variant *variant, double rpm);

/* The parts of truth.json, added to `json` in this order. */
void demo_truth_begin(struct text *json);
bool demo_truth_run(struct text *json, size_t index, const struct demo_made *made, struct err *err) MUST_CHECK;
bool demo_truth_end(struct text *json, const struct demo_made *background, struct err *err) MUST_CHECK;

#endif
