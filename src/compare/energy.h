/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_ENERGY_H
#define THRUM_COMPARE_ENERGY_H

/* The A-weighted energy of a rotor's sound by what makes it: tones by the part of the machine that they belong to, and
 * broadband noise by third octaves, in percent that add up to 100. From figures of the run that are in results.json:
 * `shares` says how much blade tones, other named tones, unexplained tones and broadband noise hold. The tones of one
 * of these share it out by their A-weighted powers. The broadband noise is shared out over the third octaves by what
 * these hold beside tones (each taken off by the band filter's own response, so that what a strong tone leaves in the
 * bands beside its own is not taken for noise). The background is taken off band by band and is in no part; the rest is
 * 100. A-weighting as IEC 61672-1:2013, annex E, of bands at their exact mid-band frequencies (IEC 61260-1:2014, 5.3).
 */

#include "compare/skirts.h"

#include <stdbool.h>
#include <stddef.h>

struct energy_part {
    char source[SOURCE_TEXT_MAX]; /* "blade", "belt", "motor", "bearing front", "unexplained", ... */
    double pct;
};

struct energy {
    struct energy_part *parts; /* of tones, in the order in which they were met; owned */
    size_t count, capacity;
    double broadband_pct;
    double band_pct[SKIRTS_BAND_COUNT]; /* of the broadband noise; all 0 where the run has no third octaves */
    double band_nominal_hz[SKIRTS_BAND_COUNT];
};

void energy_clear(struct energy *energy);

/* Shares are given, and the A-level is no mere upper bound: then the background is far from all there is. */
bool energy_is_known(const struct run_result *run);

/* Adds the run's percents times `weight` to `sum`, which starts as all zero. Means are weights that add up to 1. */
bool energy_add(struct energy *sum, const struct skirts_set *skirts, const struct run_result *run, double weight,
                struct err *err) MUST_CHECK;

/* The part of the machine that a tone's source belongs to: its first word, of a bearing its name too. */
void energy_part_name(const char *source, char *out, size_t size);

#endif
