/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_CEILING_H
#define THRUM_RECORDING_CEILING_H

/* Flat tops: runs of equal samples at the largest value that one side of the signal ever reaches, where the signal
 * arrives and leaves with a corner. It finds clipping at full scale and at any lower constant ceiling (an overdriven
 * stage before a gain below 1). A round top that quantisation flattens has no corner: n equal codes on a parabola leave
 * it by at most (1 + 2/n)^2 quanta on each side (geometry: its first n/2 samples fall by less than one quantum). A run
 * is flat when both sides together fall by more than twice that and 3 quanta for rounding: 11 for n = 2, 6 for n = 8.
 *
 * One ceiling watches one side: feed the signal for the upper one, its negative extremes for the lower one. */

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct ceiling {
    double sign;           /* +1 upper, -1 lower */
    double quantum;        /* step of the samples, in units of full scale */
    double full_scale;     /* value from which a run of 2 is enough; INFINITY: never */
    double value;          /* sign * sample, the largest so far */
    uint64_t run_count;    /* flat tops at `value` */
    uint64_t frame_count;  /* samples in them */
    uint64_t open_count;   /* samples of a run that has not ended */
    double before, latest; /* sign * sample before the open run, and the latest one */
};

/* `bits` of the samples, 0 for float and lossy ones. Their steps are not known: those of 16 bits are taken, and the
 * same for finer integers, which may have been made from 16 bits. */
void ceiling_init(struct ceiling *ceiling, double sign, int bits);

/* Feeds `frame_count` samples whose largest sign * sample is `most`. True when the ceiling rose: all that was counted
 * before no longer counts (the counts start again). */
bool ceiling_feed(struct ceiling *ceiling, const double *samples, size_t frame_count, double most);

#endif
