/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/pairs.h"

#include "base/absent.h"
#include "base/memory.h"
#include "compare/collect.h"
#include "compare/holm.h"
#include "compare/operating.h"
#include "compare/same_points.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#define PAIRINGS_MAX 32

/* Chance that one of the band differences called real is not (Holm). */
#define FAMILY_LEVEL 0.05

static const struct difference not_given = {
    .variant_value = ABSENT,
    .reference_value = ABSENT,
    .variant_low = ABSENT,
    .variant_high = ABSENT,
    .reference_low = ABSENT,
    .reference_high = ABSENT,
    .value = ABSENT,
    .low = ABSENT,
    .high = ABSENT,
    .probability = ABSENT,
};

static bool is_fitted(const struct cell *cell)
{
    return cell->clean.is_fitted || cell->all.is_fitted;
}

static const struct cell *largest_cell(const struct grid *grid, size_t variant)
{
    const struct cell *best = NULL;
    for (size_t i = 0; i < grid->cell_count; i++)
        if (grid->cells[i].variant == variant && grid->cells[i].count > (best ? best->count : 0))
            best = &grid->cells[i];
    return best;
}

size_t pairs_find(const struct campaign *campaign, const struct grid *grid, size_t variant, size_t reference,
                  struct pairing *out, size_t room)
{
    size_t count = 0;
    for (size_t microphone = 0; microphone < campaign->microphone_count && count < room; microphone++)
        if (grid_cell(grid, variant, microphone) && grid_cell(grid, reference, microphone))
            out[count++] = (struct pairing){ variant, reference, microphone, microphone };
    if (count > 0 || room == 0)
        return count;
    const struct cell *ours = largest_cell(grid, variant), *theirs = largest_cell(grid, reference);
    if (!ours || !theirs)
        return 0;
    out[0] = (struct pairing){ variant, reference, ours->microphone, theirs->microphone };
    return 1;
}

void pair_difference(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                     double value, struct difference *out)
{
    *out = not_given;
    const struct cell *cells[2] = { grid_cell(grid, pairing->variant, pairing->variant_microphone),
                                    grid_cell(grid, pairing->reference, pairing->reference_microphone) };
    struct estimate estimates[2];
    for (int i = 0; i < 2; i++) {
        size_t variant = i == 0 ? pairing->variant : pairing->reference;
        const char *name = job->source.campaign->variants[variant].name;
        if (!cells[i]) {
            snprintf(out->reason, sizeof out->reason, "%.60s has no value there", name);
            return;
        }
        grid_estimate(grid, cells[i], value, &estimates[i]);
        if (!estimates[i].is_given) {
            snprintf(out->reason, sizeof out->reason, "%.60s: %.130s", name, estimates[i].reason);
            return;
        }
    }
    difference_compute(job->source.campaign, job->source.runs, grid, cells[0], cells[1], &estimates[0], &estimates[1],
                       0, out);
}

static enum compare_verdict verdict_of(const struct difference *difference)
{
    if (!difference->is_given)
        return COMPARE_REFUSED;
    if (difference->high < 0)
        return COMPARE_QUIETER;
    return difference->low > 0 ? COMPARE_LOUDER : COMPARE_UNCLEAR;
}

static void name_microphones(const struct campaign *campaign, const struct pairing *pairing, char *field, size_t size)
{
    const char *ours = campaign->microphones[pairing->variant_microphone].name;
    const char *theirs = campaign->microphones[pairing->reference_microphone].name;
    if (pairing->variant_microphone == pairing->reference_microphone)
        snprintf(field, size, "%s", ours);
    else
        snprintf(field, size, "%.64s / %.64s", ours, theirs);
}

static double repeat_spread(const struct grid *grid, const struct pairing *pairing)
{
    double squares = 0, degrees = 0;
    const struct cell *cells[2] = { grid_cell(grid, pairing->variant, pairing->variant_microphone),
                                    grid_cell(grid, pairing->reference, pairing->reference_microphone) };
    for (int i = 0; i < 2; i++) {
        squares += cells[i] ? cells[i]->repeat_squares : 0;
        degrees += cells[i] ? cells[i]->repeat_degrees : 0;
    }
    return degrees > 0 ? sqrt(squares / degrees) : ABSENT;
}

static bool add_budget(const struct compare_job *job, const struct comparison *comparison,
                       const struct difference *difference)
{
    for (size_t i = 0; i < difference->component_count; i++) {
        const struct component *component = &difference->components[i];
        struct budget_line *line = collect_budget_line(job->out);
        if (!line)
            return err_memory(job->err);
        collect_name(line->variant, sizeof line->variant, comparison->variant);
        collect_name(line->microphone, sizeof line->microphone, comparison->microphone);
        collect_name(line->component, sizeof line->component, component->name);
        line->at = comparison->at;
        line->value = comparison->value;
        line->standard_db = component->standard;
        line->degrees_of_freedom = component->degrees_of_freedom;
        line->cancels = component->cancels;
    }
    return true;
}

static bool add(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing, double value,
                const struct difference *difference, const char *basis)
{
    const struct campaign *campaign = job->source.campaign;
    struct comparison *item = collect_comparison(job->out);
    if (!item)
        return err_memory(job->err);
    item->at = grid->at;
    item->value = value;
    collect_name(item->quantity, sizeof item->quantity, quantity_key(grid->quantity.kind));
    item->band_hz = grid->quantity.band_nominal_hz;
    collect_name(item->variant, sizeof item->variant, campaign->variants[pairing->variant].name);
    collect_name(item->reference, sizeof item->reference, campaign->variants[pairing->reference].name);
    name_microphones(campaign, pairing, item->microphone, sizeof item->microphone);
    collect_name(item->basis, sizeof item->basis, basis);
    collect_name(item->reason, sizeof item->reason, difference->reason);
    item->verdict = verdict_of(difference);
    item->repeat_spread_db = repeat_spread(grid, pairing);
    item->variant_value = difference->variant_value;
    item->reference_value = difference->reference_value;
    item->variant_ci95_low = difference->variant_low;
    item->variant_ci95_high = difference->variant_high;
    item->reference_ci95_low = difference->reference_low;
    item->reference_ci95_high = difference->reference_high;
    item->difference_db = difference->value;
    item->ci95_low_db = difference->low;
    item->ci95_high_db = difference->high;
    item->variant_run_count = difference->variant_run_count;
    item->reference_run_count = difference->reference_run_count;
    struct comparison kept = *item;
    return grid->quantity.kind != QUANTITY_LAEQ || !difference->is_given || add_budget(job, &kept, difference);
}

/* Which of the comparisons added since `first` stand as a family of bands; the others' probabilities are absent. */
static bool mark_many_bands(const struct compare_job *job, size_t first, const double *probabilities)
{
    size_t count = job->out->count - first;
    bool *stands = memory_new(count, sizeof *stands);
    if (!stands)
        return err_memory(job->err);
    holm_step_down(probabilities, count, FAMILY_LEVEL, stands);
    for (size_t i = 0; i < count; i++)
        job->out->items[first + i].survives_many_bands = stands[i];
    free(stands);
    return true;
}

/* The difference of the coinciding points nearest to `value`. */
static bool same_point_difference(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                                  double value, struct difference *out)
{
    *out = not_given;
    const struct cell *ours = grid_cell(grid, pairing->variant, pairing->variant_microphone);
    const struct cell *theirs = grid_cell(grid, pairing->reference, pairing->reference_microphone);
    struct same_point *points;
    size_t count, best = SIZE_MAX;
    double least = log(SAME_POINT_RATIO) * (1 + 1e-9);
    if (!ours || !theirs)
        return true;
    if (!same_points_find(ours, theirs, &points, &count, job->err))
        return false;
    for (size_t i = 0; i < count; i++)
        if (fabs(log(points[i].value / value)) <= least) {
            least = fabs(log(points[i].value / value));
            best = i;
        }
    if (best != SIZE_MAX)
        difference_compute(job->source.campaign, job->source.runs, grid, ours, theirs, &points[best].variant,
                           &points[best].reference, same_point_mismatch_db(grid->at, points[best].lg_ratio), out);
    else
        snprintf(out->reason, sizeof out->reason,
                 "fewer than three operating points of one of them, and none of both within 2 %% of %.4g %s", value,
                 operating_unit(grid->at));
    free(points);
    return true;
}

/* All quantities at one value. A quantity that one of the two lacks altogether is left out; the first is always told.
 */
static bool compare_at_value(const struct compare_job *job, const struct grid *grids, size_t grid_count,
                             const struct pairing *pairing, double value, bool at_same_points)
{
    double *probabilities = memory_new(grid_count, sizeof *probabilities);
    if (!probabilities)
        return err_memory(job->err);
    size_t first = job->out->count;
    bool fine = true;
    for (size_t i = 0; i < grid_count && fine; i++) {
        const struct grid *grid = &grids[i];
        if (i > 0 && (!grid_cell(grid, pairing->variant, pairing->variant_microphone) ||
                      !grid_cell(grid, pairing->reference, pairing->reference_microphone)))
            continue;
        struct difference difference;
        if (at_same_points)
            fine = same_point_difference(job, grid, pairing, value, &difference);
        else
            pair_difference(job, grid, pairing, value, &difference);
        probabilities[job->out->count - first] =
            grid->quantity.kind == QUANTITY_THIRD_OCTAVE ? difference.probability : ABSENT;
        const char *basis = at_same_points ? "same points" : difference.is_curved ? "curve fit" : "line fit";
        fine = fine && add(job, grid, pairing, value, &difference, basis);
    }
    fine = fine && mark_many_bands(job, first, probabilities);
    free(probabilities);
    return fine;
}

static bool refuse(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                   const char *basis, const char *why)
{
    struct difference difference = not_given;
    collect_name(difference.reason, sizeof difference.reason, why);
    return add(job, grid, pairing, ABSENT, &difference, basis);
}

/* Points at which both were measured, all of them or those asked for; told as refused when there are none. */
static bool compare_same_points(const struct compare_job *job, const struct axis *axis, const struct grid *grids,
                                size_t grid_count, const struct pairing *pairing, bool only_asked)
{
    if (only_asked && axis->is_asked) {
        for (size_t i = 0; i < axis->points.count; i++)
            if (!compare_at_value(job, grids, grid_count, pairing, axis->points.values[i], true))
                return false;
        return true;
    }
    struct same_point *points;
    size_t count;
    if (!same_points_find(grid_cell(grids, pairing->variant, pairing->variant_microphone),
                          grid_cell(grids, pairing->reference, pairing->reference_microphone), &points, &count,
                          job->err))
        return false;
    bool fine = true;
    for (size_t i = 0; i < count && fine; i++)
        fine = compare_at_value(job, grids, grid_count, pairing, points[i].value, true);
    if (count == 0)
        fine = refuse(job, grids, pairing, "same points", "no operating points of both within 2 %");
    free(points);
    return fine;
}

static bool compare_fits(const struct compare_job *job, const struct axis *axis, const struct grid *grids,
                         size_t grid_count, const struct pairing *pairing)
{
    struct points points = axis_pair_points(&job->source, axis, pairing->variant, pairing->reference);
    for (size_t i = 0; i < points.count; i++)
        if (!compare_at_value(job, grids, grid_count, pairing, points.values[i], false))
            return false;
    if (points.count > 0)
        return true;
    double low[2], high[2];
    char why[200];
    if (axis_range(&job->source, pairing->variant, axis->at, &low[0], &high[0]) &&
        axis_range(&job->source, pairing->reference, axis->at, &low[1], &high[1]))
        snprintf(why, sizeof why, "no common range: measured from %.4g to %.4g %s against %.4g to %.4g %s", low[0],
                 high[0], operating_unit(axis->at), low[1], high[1], operating_unit(axis->at));
    else
        snprintf(why, sizeof why, "no %s of one of them", operating_name(axis->at));
    return refuse(job, grids, pairing, "line fit", why);
}

bool pairs_compare(const struct compare_job *job, const struct axis *axis, const struct grid *grids, size_t grid_count,
                   bool same_points_too)
{
    const struct campaign *campaign = job->source.campaign;
    for (size_t variant = 0; variant < campaign->variant_count; variant++) {
        if (variant == job->reference)
            continue;
        struct pairing pairings[PAIRINGS_MAX];
        size_t count = pairs_find(campaign, grids, variant, job->reference, pairings, PAIRINGS_MAX);
        for (size_t i = 0; i < count; i++) {
            bool fits = is_fitted(grid_cell(grids, variant, pairings[i].variant_microphone)) &&
                        is_fitted(grid_cell(grids, job->reference, pairings[i].reference_microphone));
            if (fits && !compare_fits(job, axis, grids, grid_count, &pairings[i]))
                return false;
            if ((!fits || same_points_too) &&
                !compare_same_points(job, axis, grids, grid_count, &pairings[i], !same_points_too))
                return false;
        }
    }
    return true;
}
