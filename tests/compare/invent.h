/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_COMPARE_INVENT_H
#define THRUM_TESTS_COMPARE_INVENT_H

/* Campaigns of figures without sound, for the comparison room: variants of the reed-bed survey drone with one
 * microphone, and runs whose levels the test sets. Everything else of a run stays absent. */

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "compare/compare.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define INVENT_VARIANTS 4
#define INVENT_RUNS 128

struct invented {
    struct campaign campaign;
    struct variant variants[INVENT_VARIANTS];
    struct microphone microphones[2];
    struct run_result runs[INVENT_RUNS];
    size_t run_count;
};

static inline struct invented *invent_new(size_t variant_count)
{
    static const char *const names[INVENT_VARIANTS] = { "stock2", "swept3", "slow5", "wide4" };
    struct invented *invented = memory_new(1, sizeof *invented);
    if (!invented)
        abort();
    for (size_t i = 0; i < variant_count; i++) {
        variant_init(&invented->variants[i]);
        invented->variants[i].name = memory_copy_text(names[i]);
        invented->variants[i].blades = 2;
    }
    for (size_t i = 0; i < 2; i++)
        invented->microphones[i] = (struct microphone){ .distance_m = 1,
                                                        .angle_deg = ABSENT,
                                                        .height_m = ABSENT,
                                                        .source_height_m = ABSENT,
                                                        .name = memory_copy_text(i == 0 ? "main" : "side") };
    invented->campaign = (struct campaign){ .variants = invented->variants,
                                            .variant_count = variant_count,
                                            .microphones = invented->microphones,
                                            .microphone_count = 2,
                                            .reference_distance_m = 1 };
    return invented;
}

static inline void invent_free(struct invented *invented)
{
    for (size_t i = 0; i < invented->run_count; i++)
        run_result_clear(&invented->runs[i]);
    for (size_t i = 0; i < invented->campaign.variant_count; i++)
        variant_clear(&invented->variants[i]);
    for (size_t i = 0; i < 2; i++)
        free(invented->microphones[i].name);
    free(invented);
}

/* A run at a thrust with an A-level; the caller may set more. */
static inline struct run_result *invent_run(struct invented *invented, size_t variant, double thrust_n, double laeq_db)
{
    if (invented->run_count == INVENT_RUNS)
        abort();
    struct run_result *run = &invented->runs[invented->run_count++];
    run_result_init(run);
    run->file = memory_copy_text("run.wav");
    run->row = (int)invented->run_count + 1;
    run->variant = memory_copy_text(invented->variants[variant].name);
    run->microphone = memory_copy_text("main");
    run->sample_rate_hz = 48000;
    run->is_absolute = true;
    run->gain_uncertainty_db = 0.2;
    run->thrust_n = thrust_n;
    run->at_reference.laeq_db = laeq_db;
    return run;
}

/* Third octaves from the band of index `first` on, levels at the microphone and at the reference distance alike. */
static inline void invent_bands(struct run_result *run, int first, const double *levels_db, size_t count)
{
    run->figures.third_octave = (struct bands){ .per_octave = 3, .count = count };
    run->figures.third_octave.items = memory_new(count, sizeof *run->figures.third_octave.items);
    run->at_reference.bands = memory_new(count, sizeof *run->at_reference.bands);
    run->at_reference.band_count = count;
    if (!run->figures.third_octave.items || !run->at_reference.bands)
        abort();
    for (size_t i = 0; i < count; i++) {
        double exact_hz = 1000 * db_to_power_ratio(first + (int)i);
        run->figures.third_octave.items[i] = (struct band){
            .index = first + (int)i, .nominal_hz = exact_hz, .exact_hz = exact_hz, .level_db = levels_db[i]
        };
        run->at_reference.bands[i] = (struct band_at_reference){ .background_db = ABSENT, .level_db = levels_db[i] };
    }
}

static inline struct comparisons invent_compare(const struct invented *invented, size_t reference)
{
    struct compare_request request = { &invented->campaign, reference };
    struct comparisons out = { 0 };
    struct err err = { 0 };
    if (!compare_runs(&request, invented->runs, invented->run_count, &out, &err)) {
        printf("# compare_runs: %s\n", err.text);
        exit(EXIT_FAILURE);
    }
    return out;
}

/* The comparison of that variant and quantity nearest to the value; NULL when there is none. */
static inline const struct comparison *invent_find(const struct comparisons *list, enum operating_quantity at,
                                                   double value, const char *quantity, const char *variant)
{
    const struct comparison *best = NULL;
    for (size_t i = 0; i < list->count; i++) {
        const struct comparison *item = &list->items[i];
        if (item->at == at && strcmp(item->quantity, quantity) == 0 && strcmp(item->variant, variant) == 0 &&
            (!best || fabs(item->value - value) < fabs(best->value - value)))
            best = item;
    }
    return best;
}

#endif
