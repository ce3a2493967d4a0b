/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/sone_statistics.h"

#include "base/absent.h"

#include <math.h>

#define LEAST_SONE 0.001
#define BIN_RATIO 1.001

void sone_statistics_init(struct sone_statistics *statistics)
{
    *statistics = (struct sone_statistics){ .per_point = 1 };
}

static void halve_trace(struct sone_statistics *statistics)
{
    for (size_t i = 0; i < SONE_TRACE_COUNT / 2; i++)
        statistics->trace_sone[i] = statistics->trace_sone[2 * i] + statistics->trace_sone[2 * i + 1];
    statistics->trace_count = SONE_TRACE_COUNT / 2;
    statistics->per_point *= 2;
}

static void add_to_trace(struct sone_statistics *statistics, double sone)
{
    statistics->growing_sone += sone;
    if (++statistics->in_point < statistics->per_point)
        return;
    statistics->trace_sone[statistics->trace_count++] = statistics->growing_sone;
    statistics->growing_sone = 0;
    statistics->in_point = 0;
    if (statistics->trace_count == SONE_TRACE_COUNT)
        halve_trace(statistics);
}

void sone_statistics_add(struct sone_statistics *statistics, double sone)
{
    size_t bin = 0;
    if (sone > LEAST_SONE) {
        double place = 1 + log(sone / LEAST_SONE) / log(BIN_RATIO);
        bin = place < SONE_BIN_COUNT - 1 ? (size_t)place : SONE_BIN_COUNT - 1;
    }
    statistics->bin[bin]++;
    statistics->count++;
    statistics->sum_sone += sone;
    statistics->most_sone = fmax(statistics->most_sone, sone);
    add_to_trace(statistics, sone);
}

double sone_statistics_mean(const struct sone_statistics *statistics)
{
    return statistics->count > 0 ? statistics->sum_sone / (double)statistics->count : ABSENT;
}

double sone_statistics_most(const struct sone_statistics *statistics)
{
    return statistics->count > 0 ? statistics->most_sone : ABSENT;
}

double sone_statistics_exceeded(const struct sone_statistics *statistics, double percent)
{
    if (statistics->count == 0)
        return ABSENT;
    double wanted = (double)statistics->count * percent / 100, above = 0;
    for (size_t bin = SONE_BIN_COUNT; bin-- > 0;) {
        double in_bin = (double)statistics->bin[bin];
        if (in_bin > 0 && above + in_bin >= wanted) {
            if (bin == 0)
                return 0;
            double part = 1 - (wanted - above) / in_bin; /* of the bin, from its lower end */
            return fmin(LEAST_SONE * pow(BIN_RATIO, (double)(bin - 1) + part), statistics->most_sone);
        }
        above += in_bin;
    }
    return 0;
}

size_t sone_statistics_trace(const struct sone_statistics *statistics, double out[static SONE_TRACE_COUNT])
{
    if (statistics->trace_count == 0 && statistics->in_point > 0) {
        out[0] = statistics->growing_sone / (double)statistics->in_point;
        return 1;
    }
    for (size_t i = 0; i < statistics->trace_count; i++)
        out[i] = statistics->trace_sone[i] / (double)statistics->per_point;
    return statistics->trace_count;
}
