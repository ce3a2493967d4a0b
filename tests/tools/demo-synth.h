/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TOOLS_DEMO_SYNTH_H
#define THRUM_TOOLS_DEMO_SYNTH_H

/* The sound of the demo campaign, made from its plan. Noise is shaped in the frequency domain: every line of the period
 * has the power that the law gives it and a random phase, so that the noise repeats without a seam and its level is the
 * law's to the last digit. Tones are sines of whole cycles in the period, each in a line that noise leaves free. Random
 * numbers are seeded by the recording, so that each can be made alone and always the same. */

#include "base/err.h"
#include "demo-plan.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* xorshift64*, a generator of our own seeding: the same everywhere. */
struct demo_random {
    uint64_t state;
};

void demo_random_seed(struct demo_random *random, uint64_t seed);
double demo_random_uniform(struct demo_random *random); /* 0 <= x < 1 */
double demo_random_normal(struct demo_random *random);  /* mean 0, standard deviation 1 */

/* What one recording was made of. */
struct demo_made {
    struct demo_tone tones[DEMO_TONES_MAX]; /* with the run's scatter; hum included */
    size_t tone_count;
    double scatter_db;        /* of the whole rotor in this run */
    double gain_db;           /* above the nominal gain */
    double thrust_n, power_w; /* as the stand read them */
    uint64_t clipped_frames;
    int16_t *samples; /* owned */
    size_t frame_count;
    size_t start_frame, period_frames; /* one whole period of it that no fade touches */
};

bool demo_make_run(size_t index, struct demo_made *out, struct err *err) MUST_CHECK;
bool demo_make_background(struct demo_made *out, struct err *err) MUST_CHECK;
bool demo_make_calibrator(bool is_after, struct demo_made *out, struct err *err) MUST_CHECK;
void demo_made_clear(struct demo_made *made);

/* Pascals of a full-scale sample at a gain above the nominal one. */
double demo_pa_per_full_scale(double gain_db);

bool demo_write_wav(const char *path, const struct demo_made *made, struct err *err) MUST_CHECK;

#endif
