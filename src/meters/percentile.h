/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_PERCENTILE_H
#define THRUM_METERS_PERCENTILE_H

/* Levels exceeded N % of the time (ISO 1996-1:2016, 3.1.3), from a histogram of constant size: classes of 0.02 dB from
 * -250 to 250 dB, straight line within a class; the error is below 0.02 dB. Silence has a class of its own. */

#include <stddef.h>
#include <stdint.h>

#define PERCENTILE_CLASS_DB 0.02
#define PERCENTILE_LOWEST_DB (-250.0)
#define PERCENTILE_CLASS_COUNT 25000

struct percentile {
    uint64_t counts[PERCENTILE_CLASS_COUNT];
    uint64_t silent_count, count;
};

void percentile_add(struct percentile *percentile, double level_db);

/* The level that `share_pct` per cent of the values exceed; ABSENT when nothing was added, -INFINITY in silence. */
double percentile_exceeded_db(const struct percentile *percentile, double share_pct);

#endif
