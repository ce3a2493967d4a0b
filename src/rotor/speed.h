/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_SPEED_H
#define THRUM_ROTOR_SPEED_H

/* The rotor's speed from its tones. Every strong tone is tried as every low blade harmonic; each trial is followed up
 * the comb, harmonic by harmonic, with the speed re-estimated (least squares, weights by each tone's uncertainty) as it
 * grows. A trial's evidence is the logarithm of how much better the comb explains the tones than chance does: a
 * harmonic found counts by how rarely a tone so strong would lie so near by chance, a harmonic missed below the highest
 * one found counts against it. The search space costs what it is worth: little within the log's tolerance, more beyond
 * it up to 15 %, most without a log. A speed is only given when the odds are clear.
 *
 * Equal blades make only the comb of the blade passage, so the blade count must be known (status: derived from
 * symmetry). Speeds are in revolutions a second of the rotor's shaft. */

#include "rotor/rotor.h"

#include <stdbool.h>
#include <stddef.h>

#define SPEED_SEARCH_PCT 15.0    /* how far beyond the log it looks */
#define SPEED_LEAST_EVIDENCE 4.0 /* odds of 50 to 1 */

struct speed_question {
    const struct tone *tones; /* by frequency */
    size_t tone_count;
    int blades;
    double log_hz; /* ABSENT: the whole range from lowest to highest */
    double log_tolerance_pct;
    double search_pct;            /* how far beyond the log it looks; at least the tolerance */
    double lowest_hz, highest_hz; /* of the rotor's shaft */
    double step_hz;               /* of the spectrum */
    double highest_tone_hz;
    double mains_hz;       /* ABSENT: 50 and 60 */
    bool is_rotor;         /* a comb here is the rotor's for sure, not the mains' own (hum.h) */
    double least_evidence; /* for a speed to be given; 0: SPEED_LEAST_EVIDENCE */
    double place_share;    /* standard deviation of a tone's place beside its own uncertainty, share of its frequency:
                              lines made broad by turbulence or an unsteady speed lie beside their comb; mostly 0 */
};

struct speed {
    double shaft_hz, uncertainty_hz; /* ABSENT when no speed can be told */
    int harmonic_count;              /* blade lines it rests on */
    double evidence;                 /* natural logarithm of the odds */
};

struct speed speed_from_tones(const struct speed_question *question);

/* For a question without a log: where any comb is clear, all speeds that are worth a thought, each another one,
 * clearest comb first, at most SPEEDS_MOST; else 0. */
#define SPEEDS_MOST 60
size_t speeds_from_tones(const struct speed_question *question, struct speed *speeds);

/* How much likelier (logarithm) a part other than the blades makes a tone within `width_hz` of its line than chance. */
double speed_line_gain(const struct speed_question *question, const struct tone *tone, double width_hz);

/* The tone nearest to `hz`, NULL when none lies within `tolerance_hz`. */
const struct tone *tone_nearest(const struct tone *tones, size_t count, double hz, double tolerance_hz);

/* How far a tone may lie from a line of the shaft: three standard uncertainties of both, and what drift does. */
double speed_match_hz(double tone_uncertainty_hz, double line_hz, double speed_uncertainty_share, double step_hz);

#endif
