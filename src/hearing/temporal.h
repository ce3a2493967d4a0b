/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_TEMPORAL_H
#define THRUM_HEARING_TEMPORAL_H

/* What the ear does to loudness in time, for the method of ISO 532-1:2017, clause 6 (from memory): the decay after
 * masking of each core loudness, by a diode with two capacitors of which only the three time constants (5, 15, 75 ms)
 * are given; and the weighting of the total by duration, 0.47 of a low-pass of 3.5 ms and 0.53 of one of 70 ms.
 * The network takes steps of 0.5 ms, by the exact solution between its corners; the weighting takes steps of 1 ms,
 * exact for an input that is straight in between. tests/hearing/loudness_time.c holds both to fine steps of the
 * equations. */

#include "hearing/zwicker.h"

#define TEMPORAL_LANES 24 /* the 21 tracks, filled up */

struct core_decay {
    double held[TEMPORAL_LANES], slow[TEMPORAL_LANES]; /* u1, u2 */
    double hold_hold, hold_slow, slow_hold, slow_slow, long_decay, charge;
};

struct duration_weighting {
    double fast, slow, last;
};

void core_decay_init(struct core_decay *decay);

/* `core` has TEMPORAL_LANES places, those past the tracks 0; is replaced by what is left after decay. */
void core_decay_step(struct core_decay *decay, double *core);

void duration_weighting_init(struct duration_weighting *weighting);
double duration_weighting_step(struct duration_weighting *weighting, double sone);

#endif
