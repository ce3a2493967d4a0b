/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/compare.h"

#include "base/absent.h"
#include "base/memory.h"
#include "compare/collect.h"
#include "compare/curves.h"
#include "compare/operating.h"
#include "compare/pairs.h"

#include <math.h>
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
    case COMPARE_REFUSED:
        return "refused";
    }
    return "";
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

#define QUANTITIES_MAX 64

/* LAeq alone, or everything that there is. */
static size_t quantities_of(const struct grid_source *source, bool all, bool hearing_too,
                            struct quantity quantities[QUANTITIES_MAX])
{
    static const enum quantity_kind hearing[] = { QUANTITY_LOUDNESS_N5, QUANTITY_SHARPNESS, QUANTITY_ROUGHNESS,
                                                  QUANTITY_FLUCTUATION, QUANTITY_ANNOYANCE, QUANTITY_AUDIBILITY };
    size_t count = 0;
    quantities[count++] = (struct quantity){ QUANTITY_LAEQ, 0, ABSENT };
    if (!all)
        return count;
    count = band_quantities(source, quantities, count, QUANTITIES_MAX - 8);
    quantities[count++] = (struct quantity){ QUANTITY_BLADE_TONE, 0, ABSENT };
    for (size_t i = 0; hearing_too && i < sizeof hearing / sizeof hearing[0]; i++)
        quantities[count++] = (struct quantity){ hearing[i], 0, ABSENT };
    return count;
}

static void clear_grids(struct grid *grids, size_t count)
{
    for (size_t i = 0; i < count; i++)
        grid_clear(&grids[i]);
    free(grids);
}

/* One axis: `is_primary` compares every quantity, the others the A-level; the logged speed also at coinciding points.
 */
static bool compare_axis(const struct compare_job *job, const struct axis *axis, bool is_primary)
{
    struct quantity quantities[QUANTITIES_MAX];
    bool is_speed = axis->at == OPERATING_RPM, everything = is_primary || axis->is_asked;
    size_t count = quantities_of(&job->source, everything || is_speed, everything, quantities);
    struct grid *grids = memory_new(count, sizeof *grids);
    if (!grids)
        return err_memory(job->err);
    size_t built = 0;
    bool fine = true;
    while (built < count && fine)
        if ((fine = grid_build(&job->source, axis->at, &quantities[built], &grids[built], job->err)))
            built++;
    fine = fine && pairs_compare(job, axis, grids, count, is_speed) && curves_add(job, &grids[0]);
    clear_grids(grids, built);
    return fine;
}

static bool list_left_out(const struct compare_job *job)
{
    for (size_t i = 0; i < job->source.run_count; i++) {
        const struct run_result *run = &job->source.runs[i];
        if (!run_is_usable(run)) {
            const char *code = "unreadable";
            for (size_t k = 0; k < run->findings.count; k++)
                if (run->findings.items[k].severity == SEVERITY_UNUSABLE)
                    code = run->findings.items[k].code;
            if (!collect_remark(job->out, job->err, "left out as unusable: %.120s (row %d, %.60s): %s",
                                run->file ? run->file : "a run", run->row, run->variant ? run->variant : "", code))
                return false;
        } else if (operating_log_was_wrong(run) &&
                   !collect_remark(job->out, job->err,
                                   "%.120s (row %d): the log's %.4g rev/min is contradicted by the sound; compared at "
                                   "the measured %.5g rev/min",
                                   run->file ? run->file : "a run", run->row, run->rpm_given,
                                   run->rotor.rpm_measured)) {
            return false;
        }
    }
    return true;
}

static bool compare_all(const struct compare_job *job)
{
    struct axis axes[OPERATING_QUANTITY_COUNT];
    for (int at = 0; at < OPERATING_QUANTITY_COUNT; at++)
        axis_find(&job->source, (enum operating_quantity)at, &axes[at]);
    enum operating_quantity primary;
    if (!list_left_out(job))
        return false;
    if (!axis_primary(axes, &primary))
        return collect_remark(
            job->out, job->err,
            "no comparison: no operating quantity is known of every variant; log rpm, thrust or power");
    if (!compare_axis(job, &axes[primary], true))
        return false;
    for (size_t i = 0; i < OPERATING_QUANTITY_COUNT; i++) {
        const struct axis *axis = &axes[axis_order[i]];
        if (axis->at != primary && (axis->is_everywhere || axis->is_asked) && !compare_axis(job, axis, false))
            return false;
    }
    return true;
}

bool compare_runs(const struct compare_request *request, const struct run_result *runs, size_t run_count,
                  struct comparisons *out, struct err *err)
{
    struct comparisons list = { 0 };
    size_t *run_variant = memory_new(run_count, sizeof *run_variant);
    size_t *run_microphone = memory_new(run_count, sizeof *run_microphone);
    bool fine = run_variant && run_microphone;
    if (!fine)
        err_memory(err);
    for (size_t i = 0; fine && i < run_count; i++) {
        run_variant[i] = variant_index(request->campaign, runs[i].variant);
        run_microphone[i] = microphone_index(request->campaign, runs[i].microphone);
    }
    struct compare_job job = {
        .source = { .campaign = request->campaign,
                    .runs = runs,
                    .run_count = run_count,
                    .run_variant = run_variant,
                    .run_microphone = run_microphone },
        .reference = request->reference,
        .out = &list,
        .err = err,
    };
    fine = fine && compare_all(&job);
    free(run_variant);
    free(run_microphone);
    if (!fine) {
        comparisons_clear(&list);
        return false;
    }
    *out = list;
    return true;
}
