/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_BENCH_SPEED_H
#define THRUM_TESTS_BENCH_SPEED_H

/* The table of the speed bench: what its parts share. */

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

struct bench {
    const char *self, *thrum;
    char folder[64]; /* for what the bench makes; removed at the end */
    char ten[128];   /* ten minutes of 48 kHz 24-bit mono */
    FILE *page;
    bool all_met;
};

/* Of a program that ran to its end. */
struct cost {
    double cpu_s, wall_s, memory_mib;
    bool ok;
};

struct cost run(const char **argv);
double uniform(uint64_t *state); /* -0.5 to 0.5 */

/* One row: what, figure, budget (NULL: none), and whether it is met. */
__attribute__((format(printf, 5, 6))) void row(struct bench *bench, const char *what, const char *budget, bool met,
                                               const char *format, ...);

void large_file(struct bench *bench); /* large.c */
void each_meter(struct bench *bench); /* alone.c */

#endif
