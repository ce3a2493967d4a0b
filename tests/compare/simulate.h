/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_COMPARE_SIMULATE_H
#define THRUM_TESTS_COMPARE_SIMULATE_H

/* Simulated campaigns of levels whose truth is known: how often does the 95 % interval of a difference hold it? The
 * numbers depend on the seed only. Everything goes through compare_runs, as in a report. */

#include "invent.h"

#include "base/units.h"

#include <stdint.h>

struct random {
    uint64_t state;
};

/* splitmix64 (Steele, Lea and Flood, OOPSLA 2014), to [0, 1). */
static inline double random_uniform(struct random *random)
{
    uint64_t z = random->state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

static inline double random_between(struct random *random, double low, double high)
{
    return low + (high - low) * random_uniform(random);
}

static inline double random_normal(struct random *random)
{
    double radius = sqrt(-2 * log(1 - random_uniform(random)));
    return radius * cos(2 * PI * random_uniform(random));
}

enum truth_kind { TRUTH_STRAIGHT, TRUTH_PARABOLA, TRUTH_PLATEAU };

/* Level against lg thrust. A parabola sags or bulges by `bend_db` in the middle of its range; a plateau has the slope
 * from its low end die away as exp(-distance / decay). */
struct truth {
    enum truth_kind kind;
    double low_lg, high_lg;
    double level_db, slope_db; /* at the low end, per decade */
    double bend_db, decay_lg;
    double scatter_db;
};

static inline double truth_level_db(const struct truth *truth, double thrust_n)
{
    double x = log10(thrust_n) - truth->low_lg, width = truth->high_lg - truth->low_lg;
    switch (truth->kind) {
    case TRUTH_STRAIGHT:
        return truth->level_db + truth->slope_db * x;
    case TRUTH_PARABOLA:
        return truth->level_db + truth->slope_db * x + truth->bend_db * 4 * (x / width) * (1 - x / width);
    case TRUTH_PLATEAU:
        return truth->level_db + truth->slope_db * truth->decay_lg * (1 - exp(-x / truth->decay_lg));
    }
    return ABSENT;
}

/* 2 to 4 variants, 3 to 8 operating points each over a range of its own, 1 to 4 repeats, scatter 0.2 to 1.5 dB. Points
 * and repeats are the same for all variants in every second campaign, and so is the scatter, independently; else each
 * variant has its own. Repeats hit their thrust within 0.5 %. */
static inline struct invented *simulate_campaign(struct random *random, enum truth_kind kind, struct truth *truths)
{
    size_t variants = 2 + (size_t)random_between(random, 0, 3);
    int points = 3 + (int)random_between(random, 0, 6), repeats = 1 + (int)random_between(random, 0, 4);
    bool planned = random_uniform(random) < 0.5, common = random_uniform(random) < 0.5;
    double scatter_db = random_between(random, 0.2, 1.5);
    struct invented *invented = invent_new(variants);
    for (size_t v = 0; v < variants; v++) {
        struct truth *truth = &truths[v];
        *truth = (struct truth){ .kind = kind };
        truth->low_lg = log10(random_between(random, 1.0, 1.8));
        truth->high_lg = log10(random_between(random, 4.5, 8.0));
        truth->level_db = random_between(random, 48, 56);
        truth->slope_db = random_between(random, 20, 35);
        truth->bend_db = random_between(random, 0.5, 3) * (random_uniform(random) < 0.5 ? -1 : 1);
        truth->decay_lg = random_between(random, 0.25, 1.0);
        truth->scatter_db = common ? scatter_db : random_between(random, 0.2, 1.5);
        if (!planned) {
            points = 3 + (int)random_between(random, 0, 6);
            repeats = 1 + (int)random_between(random, 0, 4);
        }
        for (int p = 0; p < points; p++)
            for (int r = 0; r < repeats; r++) {
                double lg = truth->low_lg + (truth->high_lg - truth->low_lg) * p / (points - 1);
                double thrust_n = db_to_power_ratio(10 * lg) * random_between(random, 0.995, 1.005);
                invent_run(invented, v, thrust_n,
                           truth_level_db(truth, thrust_n) + truth->scatter_db * random_normal(random));
            }
    }
    return invented;
}

struct coverage {
    long intervals, held, refused, absent;
    long campaigns;
    double half_width_db, miss_db; /* sums */
    double cluster_squares;        /* of (held - 0.95 n) per campaign, for the standard error */
};

/* Counts how often the intervals of a campaign hold what `truth_of` says; ABSENT: not judged. */
static inline void coverage_add(struct coverage *coverage, const struct comparisons *list,
                                double (*truth_of)(const struct comparison *, const void *), const void *context)
{
    double misses = 0, count = 0;
    for (size_t i = 0; i < list->count; i++) {
        const struct comparison *item = &list->items[i];
        double truth_db = truth_of(item, context);
        if (!is_given(truth_db))
            continue;
        if (item->verdict == COMPARE_REFUSED || !is_given(item->ci95_low_db)) {
            coverage->refused += item->verdict == COMPARE_REFUSED;
            coverage->absent += item->verdict != COMPARE_REFUSED;
            continue;
        }
        bool held = item->ci95_low_db <= truth_db && truth_db <= item->ci95_high_db;
        coverage->intervals++;
        coverage->held += held;
        coverage->half_width_db += (item->ci95_high_db - item->ci95_low_db) / 2;
        coverage->miss_db += fabs(item->difference_db - truth_db);
        misses += !held;
        count++;
    }
    coverage->campaigns++;
    coverage->cluster_squares += (misses - 0.05 * count) * (misses - 0.05 * count);
}

struct simulated {
    const struct invented *invented;
    struct truth truths[INVENT_VARIANTS];
};

static inline double simulated_truth(const struct comparison *item, const void *context)
{
    const struct simulated *simulated = context;
    size_t v = 0;
    while (strcmp(simulated->invented->variants[v].name, item->variant) != 0)
        v++;
    return truth_level_db(&simulated->truths[v], item->value) - truth_level_db(&simulated->truths[0], item->value);
}

static inline void simulate_one(struct random *random, enum truth_kind kind, struct coverage *coverage)
{
    struct simulated simulated;
    struct invented *invented = simulate_campaign(random, kind, simulated.truths);
    simulated.invented = invented;
    struct comparisons list = invent_compare(invented, 0);
    coverage_add(coverage, &list, simulated_truth, &simulated);
    comparisons_clear(&list);
    invent_free(invented);
}

static inline double coverage_pct(const struct coverage *coverage)
{
    return 100.0 * (double)coverage->held / (double)coverage->intervals;
}

/* Standard error of coverage_pct: intervals of one campaign share their runs, so campaigns are the independent units.
 */
static inline double coverage_error_pct(const struct coverage *coverage)
{
    return 100.0 * sqrt(coverage->cluster_squares) / (double)coverage->intervals;
}

#endif
