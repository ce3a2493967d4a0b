/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_DETECTOR_H
#define THRUM_METERS_DETECTOR_H

/* Exponential time weighting F (0.125 s) and S (1 s) of IEC 61672-1:2013, 5.8, driven by the mean square of short hops
 * (half a millisecond, or one frame of a decimated signal) instead of single squares: within a hop the energy counts as
 * spread evenly. What that adds on bursts of 0.25 ms is below 0.02 dB: LAFmax and LAE of the same burst
 * are equally far from a steady tone (0.13 dB, the weighting of its wide spectrum; tests/meters/check_bursts.c).
 *
 * The rule for the start: the detectors start with the used part, and nothing is known of the sound before. Until one
 * time constant has passed the reading is the weighting's own, as if there had been silence; from then on it is the
 * exponential average over what was heard, i.e. the weighting's value divided by 1 - exp(-t/tau). A steady tone reads
 * its level from then on, and after five time constants the difference from the plain definition is below 0.03 dB. Only
 * such readings count for minimum and percentiles. */

#include <stdbool.h>

#define DETECTOR_FAST_S 0.125
#define DETECTOR_SLOW_S 1.0
#define DETECTOR_SETTLED 0.36787944117144233 /* exp(-1): unheard share from which on a reading is the average */

struct detector {
    double constant_s, hop_s;
    double keep;      /* of the old value in one whole hop */
    double value_pa2; /* by the plain definition */
    double unheard;   /* exp(-t/tau) */
};

void detector_init(struct detector *detector, double constant_s, double hop_s);

/* One whole hop of this mean square. */
static inline void detector_step(struct detector *detector, double mean_pa2)
{
    detector->value_pa2 = detector->keep * detector->value_pa2 + (1 - detector->keep) * mean_pa2;
    detector->unheard *= detector->keep;
}

static inline bool detector_has_settled(const struct detector *detector)
{
    return detector->unheard <= DETECTOR_SETTLED;
}

static inline double detector_reading_pa2(const struct detector *detector)
{
    return detector_has_settled(detector) ? detector->value_pa2 / (1 - detector->unheard) : detector->value_pa2;
}

#endif
