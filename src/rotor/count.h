/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_COUNT_H
#define THRUM_ROTOR_COUNT_H

/* How many blades does the sound say? With the shaft's speed known, the orders of the shaft that are multiples of the
 * blade count stand above the others: identical, evenly spaced blades cancel all other orders (symmetry, derived), and
 * unequal ones leave them weaker. The contrast of a count is the mean height of its multiples less the mean height of
 * the other orders, over the lines that the spectrum holds. Equal blades without a known speed tell nothing: three
 * blades at 4000 rev/min sound like two at 6000. */

#include "rotor/speed.h"

#define COUNT_MOST 8

/* dB; ABSENT when no order stands out. `spacing_hz` is that of the orders. */
double count_contrast_db(const struct speed_question *question, double spacing_hz, double uncertainty_hz, int count);

struct count_heard {
    int count; /* 0: the sound does not tell */
    double contrast_db;
};

/* The count from 2 to COUNT_MOST with the greatest contrast at a shaft speed. */
struct count_heard count_from_orders(const struct speed_question *question, const struct speed *speed);

/* Without a log, a comb found may be that of the shaft's orders of unequal blades, heard as blade passages of a slower
 * rotor. Where the k-th line of the comb stands 6 dB above all before it, the 2k-th above those between, and one at
 * least of the 3k-th and 4k-th (both for k = 2), the speed is corrected, unless an order of the
 * slower shaft is heard that the faster one can't make: then each blade is loaded so many times a turn. Higher lines
 * say nothing: a mesh may lie on any. */
void count_settle_speed(const struct speed_question *question, struct speed *speed);

/* The count and the speed within the log's tolerance that explain the tones best; speed ABSENT when none does. */
struct speed count_search(const struct speed_question *question, int *count);

#endif
