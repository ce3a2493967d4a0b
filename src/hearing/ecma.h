/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_ECMA_H
#define THRUM_HEARING_ECMA_H

/* Tone-to-noise ratio and prominence ratio of discrete tones over an unweighted averaged spectrum, after ECMA-418-1
 * (clauses 10 to 12; the standard's body was not read: the formulae are from memory, so no conformance is claimed).
 *
 * A tone's power is what its lines hold above the noise of its critical band; its lines are the main lobe of the window
 * and what adjoins it above twice the noise, at most 15 % of the critical bandwidth (never fewer than the main lobe).
 * A tone's lines end where the next tone's begin (tone_lines.h). The strongest of the tones heard as one in a critical
 * band (tone_groups.h) takes the others along; these are rated by their own power, but for those 10 dB and more below
 * it, which nobody hears beside it (ours). The prominence ratio is of a band: only the strongest tone in it has one.
 * The lower threshold of hearing is stood in for by the mean threshold (threshold.h), and asked only where levels are
 * absolute.
 *
 * Against closed forms (a tone of known height in white noise) both ratios keep within 0.2 dB (tests/hearing/ecma.c).
 */

#include "base/err.h"
#include "meters/figures.h"

#include <stdbool.h>
#include <stddef.h>

#define ECMA_LOWEST_HZ 89.1
#define ECMA_HIGHEST_HZ 11220.0

struct ecma_rating {
    double tone_pa2;         /* power of the tone itself */
    double tone_to_noise_db; /* ABSENT where its lines fill the band, the band does not fit the spectrum, or it is
                                unheard beside a stronger tone */
    double prominence_db;    /* ABSENT where the three bands do not fit the spectrum, or its band has a stronger tone */
    bool is_above_threshold; /* of hearing; true where levels are relative */
    bool is_prominent_by_ratio, is_prominent_by_prominence;
};

/* Limits from which a tone is prominent; ABSENT outside 89.1 Hz to 11.22 kHz, where the standard has none. */
double ecma_tone_to_noise_limit_db(double hz);
double ecma_prominence_limit_db(double hz);

/* Outer edges of the bands below and above the critical band of a tone. */
double ecma_lower_edge_hz(double hz);
double ecma_upper_edge_hz(double hz);

/* Rates tones at `hz` (ascending) all at once, since tones that share a band matter to each other. */
bool ecma_rate(const struct spectrum *spectrum, const double *hz, size_t count, bool is_absolute,
               struct ecma_rating *out, struct err *err) MUST_CHECK;

#endif
