/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_THINNER_H
#define THRUM_ROTOR_THINNER_H

/* The used part at a lower sampling rate, for what looks at low frequencies only: the rate is halved as often as leaves
 * the wanted frequencies whole (meters/decimator.h: level within 0.0005 dB a halving, what folds onto them 85 dB down).
 * A piece of a fixed length is read at a time; memory does not depend on the recording. */

#include "rotor/averager.h"

#include "meters/decimator.h"

#define THINNER_HALVINGS_MOST 7

struct thinner {
    struct source source;  /* what reads from the thinner */
    double sample_rate_hz; /* of what it gives */
    double delay_s;        /* by which that comes late */
    struct source from;
    struct decimator decimators[THINNER_HALVINGS_MOST];
    double *half[THINNER_HALVINGS_MOST][2]; /* memory of the decimators */
    double *work[2];
    const double *ready;
    size_t halving_count, ready_count;
};

/* Frequencies up to highest_hz stay whole. To be cleared by the caller, also after false; must not be moved. */
bool thinner_open(struct thinner *thinner, struct pressure *pressure, double highest_hz, struct err *err) MUST_CHECK;
void thinner_clear(struct thinner *thinner);

#endif
