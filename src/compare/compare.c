/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/compare.h"

#include "base/absent.h"
#include "base/memory.h"
#include "compare/collect.h"
#include "compare/curves.h"
#include "compare/doubts.h"
#include "compare/equal_levels.h"
#include "compare/far_off.h"
#include "compare/growth.h"
#include "compare/operating.h"
#include "compare/pairs.h"
#include "compare/ranking.h"
#include "compare/rounds.h"
#include "compare/slopes.h"
#include "compare/what_if.h"

#include <assert.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

const char *compare_verdict_key(enum compare_verdict verdict)
{
    switch (verdict) {
    case COMPARE_QUIETER:
        return "quieter";
    case COMPARE_LOUDER:
        return "louder";
    case COMPARE_UNCLEAR:
        return "no clear difference";
    case COMPARE_UNKNOWN:
        return "not known";
    case COMPARE_REFUSED:
        return "refused";
    }
    return "";
}

bool compare_verdict_is_clear(enum compare_verdict verdict)
{
    return verdict == COMPARE_QUIETER || verdict == COMPARE_LOUDER;
}

static size_t microphone_index(const struct campaign *campaign, const char *name)
{
    for (size_t i = 0; name && i < campaign->microphone_count; i++)
        if (campaign->microphones[i].name && strcmp(campaign->microphones[i].name, name) == 0)
            return i;
    return !name && campaign->microphone_count == 1 ? 0 : SIZE_MAX;
}

static size_t variant_index(const struct campaign *campaign, const char *name)
{
    size_t index;
    return name && campaign_find_variant(campaign, name, &index) ? index : SIZE_MAX;
}

/* The bands that any usable run has, by index of the standard, as quantities behind those already there. */
static size_t band_quantities(const struct grid_source *source, struct quantity *quantities, size_t count, size_t room)
{
    const size_t first = count;
    for (size_t i = 0; i < source->run_count; i++) {
        const struct bands *bands = &source->runs[i].figures.third_octave;
        for (size_t k = 0; k < bands->count && run_is_usable(&source->runs[i]); k++) {
            size_t at = first;
            while (at < count && quantities[at].band_index != bands->items[k].index)
                at++;
            if (at == count && count < room)
                quantities[count++] =
                    (struct quantity){ QUANTITY_THIRD_OCTAVE, bands->items[k].index, bands->items[k].nominal_hz };
        }
    }
    for (size_t i = first + 1; i < count; i++) /* few and nearly in order: by insertion */
        for (size_t k = i; k > first && quantities[k].band_index < quantities[k - 1].band_index; k--) {
            struct quantity kept = quantities[k];
            quantities[k] = quantities[k - 1];
            quantities[k - 1] = kept;
        }
    return count;
}

#define QUANTITIES_MAX 72
#define OTHER_QUANTITIES 11

/* The A-level; with it, on demand, the bands and blade tones; and all the rest. */
static size_t quantities_of(const struct grid_source *source, bool bands_too, bool all,
                            struct quantity quantities[QUANTITIES_MAX])
{
    static const enum quantity_kind others[] = {
        QUANTITY_LOUDNESS_N5,       QUANTITY_SHARPNESS,       QUANTITY_ROUGHNESS,  QUANTITY_FLUCTUATION,
        QUANTITY_ANNOYANCE,         QUANTITY_ANNOYANCE_TONAL, QUANTITY_AUDIBILITY, QUANTITY_BLADE_SHARE,
        QUANTITY_OTHER_TONES_SHARE, QUANTITY_BROADBAND_SHARE,
    };
    static_assert(sizeof others / sizeof others[0] < OTHER_QUANTITIES, "room for the blade tone too");
    size_t count = 0;
    quantities[count++] = (struct quantity){ QUANTITY_LAEQ, 0, ABSENT };
    if (!bands_too)
        return count;
    count = band_quantities(source, quantities, count, QUANTITIES_MAX - OTHER_QUANTITIES);
    quantities[count++] = (struct quantity){ QUANTITY_BLADE_TONE, 0, ABSENT };
    for (size_t i = 0; all && i < sizeof others / sizeof others[0]; i++)
        quantities[count++] = (struct quantity){ others[i], 0, ABSENT };
    return count;
}

/* A curve of how well the power is used, where it is logged; no comparison of its own. */
static bool add_economy_curve(const struct compare_job *job, enum operating_quantity at, enum quantity_kind kind)
{
    struct quantity quantity = { kind, 0, ABSENT };
    struct grid grid;
    if (!grid_build(&job->source, at, &quantity, &grid, job->err))
        return false;
    bool fine = curves_add(job, &grid);
    grid_clear(&grid);
    return fine;
}

/* What is told of the main axis beside the comparisons. */
static bool tell_primary(const struct compare_job *job, const struct axis *axis, const struct grid *grid)
{
    return rounds_tell(job, grid) && what_ifs_add(job, grid) && equal_levels_add(job, grid) &&
           ranking_tell(job, axis, grid);
}

/* The A-level of the main axis without the runs in doubt. */
struct rests {
    struct grid doubtful, far_off;
};

static bool build_rests(const struct compare_job *job, struct axis_grids *grids, struct rests *rests)
{
    const struct grid *grid = &grids->items[0];
    struct grid_source rest = job->source;
    bool *is_far_off = memory_new(job->source.run_count, sizeof *is_far_off), any = false;
    if (!is_far_off)
        return err_memory(job->err);
    rest.left_out = is_far_off;
    bool fine = far_off_tell(job, grid, is_far_off, &any) &&
                (!any || grid_build(&rest, grid->at, &grid->quantity, &rests->far_off, job->err));
    free(is_far_off);
    if (fine && any)
        grids->without_far_off = &rests->far_off;
    if (!fine || !doubts_any_doubtful(&job->source))
        return fine;
    rest = job->source;
    rest.without_doubtful = true;
    grids->without_doubtful = &rests->doubtful;
    return grid_build(&rest, grid->at, &grid->quantity, &rests->doubtful, job->err);
}

static bool compare_grids(const struct compare_job *job, struct axis_grids *grids, struct rests *rests)
{
    const struct axis *axis = grids->axis;
    if (grids->is_primary && !build_rests(job, grids, rests))
        return false;
    return pairs_compare(job, grids) && curves_add(job, &grids->items[0]) &&
           (!grids->is_primary || tell_primary(job, axis, &grids->items[0])) &&
           (axis->at != OPERATING_THRUST_N || (add_economy_curve(job, axis->at, QUANTITY_POWER_LOADING) &&
                                               add_economy_curve(job, axis->at, QUANTITY_FIGURE_OF_MERIT)));
}

/* One axis: the main one and those asked for compare every quantity, the others the A-level; the logged speed also the
 * bands, and at coinciding points too. */
static bool compare_axis(const struct compare_job *job, const struct axis *axis, bool is_primary)
{
    struct quantity quantities[QUANTITIES_MAX];
    bool is_speed = axis->at == OPERATING_RPM, everything = is_primary || axis->is_asked;
    size_t count = quantities_of(&job->source, everything || is_speed, everything, quantities);
    struct band_shelf shelf = { 0 };
    struct axis_grids grids = { .axis = axis, .shelf = &shelf, .is_primary = is_primary, .with_same_points = is_speed };
    struct rests rests = { 0 };
    grids.items = memory_new(count, sizeof *grids.items);
    if (!grids.items)
        return err_memory(job->err);
    bool fine = true;
    while (grids.count < count && fine) {
        fine = grid_build(&job->source, axis->at, &quantities[grids.count], &grids.items[grids.count], job->err);
        grids.count += fine;
    }
    fine = fine && compare_grids(job, &grids, &rests);
    for (size_t i = 0; i < grids.count; i++)
        grid_clear(&grids.items[i]);
    free(grids.items);
    band_shelf_clear(&shelf);
    grid_clear(&rests.doubtful);
    grid_clear(&rests.far_off);
    return fine;
}

static bool compare_all(const struct compare_job *job)
{
    struct axis axes[OPERATING_QUANTITY_COUNT];
    for (int at = 0; at < OPERATING_QUANTITY_COUNT; at++)
        axis_find(&job->source, job->reference, (enum operating_quantity)at, &axes[at]);
    enum operating_quantity primary;
    if (!doubts_tell_runs(job))
        return false;
    if (!axis_primary(axes, &primary))
        return collect_remark(
            job->out, job->err,
            "No comparison: no operating quantity is known of every variant; log rpm, thrust or power.");
    if (!doubts_tell_missing(job, primary) || !compare_axis(job, &axes[primary], true))
        return false;
    for (size_t i = 0; i < OPERATING_QUANTITY_COUNT; i++) {
        const struct axis *axis = &axes[operating_order[i]];
        bool is_told = axis->is_everywhere || axis->is_asked || axis->variant_count > 1;
        if (axis->at != primary && is_told && !compare_axis(job, axis, false))
            return false;
    }
    return slopes_tell(job->out, job->source.campaign->microphone_count > 1, job->err) &&
           growth_tell(&job->source, job->out, job->err);
}

bool compare_runs(const struct compare_request *request, const struct run_result *runs, size_t run_count,
                  struct comparisons *out, struct err *err)
{
    struct comparisons list = { 0 };
    size_t *run_variant = memory_new(run_count, sizeof *run_variant);
    size_t *run_microphone = memory_new(run_count, sizeof *run_microphone);
    struct skirts_set skirts = { 0 };
    bool fine = run_variant && run_microphone;
    if (!fine)
        err_memory(err);
    fine = fine && skirts_make(runs, run_count, &skirts, err);
    for (size_t i = 0; fine && i < run_count; i++) {
        run_variant[i] = variant_index(request->campaign, runs[i].variant);
        run_microphone[i] = microphone_index(request->campaign, runs[i].microphone);
    }
    struct compare_job job = {
        .source = { .campaign = request->campaign,
                    .runs = runs,
                    .run_count = run_count,
                    .skirts = &skirts,
                    .run_variant = run_variant,
                    .run_microphone = run_microphone },
        .reference = request->reference,
        .out = &list,
        .err = err,
    };
    fine = fine && compare_all(&job);
    free(run_variant);
    free(run_microphone);
    skirts_clear(&skirts);
    if (!fine) {
        comparisons_clear(&list);
        return false;
    }
    *out = list;
    return true;
}
