/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_SONE_STATISTICS_H
#define THRUM_HEARING_SONE_STATISTICS_H

/* Mean, largest value, percentiles and the decimated course of loudness against time, in constant memory.
 * Percentiles come from bins 0.1 % wide from 0.001 to 10000 sone (what is less is 0, what is more is counted as the
 * largest), so they are within 0.05 %. The course has at most SONE_TRACE_COUNT points, each the mean over its step; the
 * step doubles as the recording grows. */

#include <stddef.h>
#include <stdint.h>

#define SONE_BIN_COUNT 16128
#define SONE_TRACE_COUNT 2000

struct sone_statistics {
    double sum_sone, most_sone;
    uint64_t count;
    uint64_t bin[SONE_BIN_COUNT];
    double trace_sone[SONE_TRACE_COUNT]; /* sums while they grow */
    size_t trace_count;                  /* complete points */
    uint64_t per_point, in_point;        /* values summed to a point, and in the one that grows */
    double growing_sone;
};

void sone_statistics_init(struct sone_statistics *statistics);
void sone_statistics_add(struct sone_statistics *statistics, double sone);

double sone_statistics_mean(const struct sone_statistics *statistics); /* ABSENT when empty, as the others */
double sone_statistics_most(const struct sone_statistics *statistics);
/* The value exceeded `percent` of the time: N5 is the 95th percentile. */
double sone_statistics_exceeded(const struct sone_statistics *statistics, double percent);
/* Copies the complete points (a shorter last one only when there is no other); returns how many. */
size_t sone_statistics_trace(const struct sone_statistics *statistics, double out[static SONE_TRACE_COUNT]);

#endif
