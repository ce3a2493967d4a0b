/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_SKIRTS_H
#define THRUM_COMPARE_SKIRTS_H

/* What the filters of the third octaves pass of tones, as the band meter has them at each rate that runs were recorded
 * at (meters/band_meter.h). Designed once for a comparison; the set owns them. */

#include "measure/run_result.h"
#include "meters/band_filter.h"

#include <stdbool.h>
#include <stddef.h>

/* Third octaves by index of IEC 61260-1 from LOWEST on: 1 Hz to 2 MHz. */
#define SKIRTS_BAND_COUNT 64
#define SKIRTS_BAND_LOWEST (-30)

struct skirts {
    double sample_rate_hz;
    struct band_response bands[SKIRTS_BAND_COUNT]; /* a rate_hz of 0: that rate does not hold the band */
};

struct skirts_set {
    struct skirts *items;
    size_t count;
};

bool skirts_make(const struct run_result *runs, size_t run_count, struct skirts_set *out, struct err *err) MUST_CHECK;
void skirts_clear(struct skirts_set *set);

/* Energy of a tone within a third octave of that run, a power ratio re 0 dB; 0 where the run has no such band. */
double skirts_energy(const struct skirts_set *set, const struct run_result *run, int band_index, double tone_hz,
                     double tone_level_db);

#endif
