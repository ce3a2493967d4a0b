/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/pairs.h"

#include "base/absent.h"
#include "base/memory.h"
#include "compare/collect.h"
#include "compare/contributions.h"
#include "compare/doubts.h"
#include "compare/holm.h"
#include "compare/operating.h"
#include "compare/same_points.h"
#include "compare/scatter.h"
#include "compare/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Chance that one of the band differences called real is not (Holm). */
#define FAMILY_LEVEL 0.05

static enum compare_verdict verdict_of(const struct difference *difference)
{
    if (!difference->is_given)
        return COMPARE_REFUSED;
    if (!is_given(difference->low) || !is_given(difference->high))
        return COMPARE_UNKNOWN;
    if (difference->high < 0)
        return COMPARE_QUIETER;
    return difference->low > 0 ? COMPARE_LOUDER : COMPARE_UNCLEAR;
}

static double repeat_spread(const struct grid *grid, const struct pairing *pairing)
{
    double squares = 0, degrees = 0;
    const struct cell *cells[2] = { pairing_variant_cell(grid, pairing), pairing_reference_cell(grid, pairing) };
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
    pairing_microphones(campaign, pairing, item->microphone, sizeof item->microphone);
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
    words_of_comparison(item, item->words, sizeof item->words);
    return grid->quantity.kind != QUANTITY_LAEQ || !difference->is_given || add_budget(job, item, difference);
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

/* Of a third octave: *grid becomes the one that it came from. */
static bool band_difference(const struct compare_job *job, struct band_shelf *shelf, const struct grid **grid,
                            const struct pairing *pairing, const struct place_of_comparison *place,
                            struct difference *out, bool *at_same_points)
{
    struct pair_estimates levels;
    if (!band_shelf_estimate(job, shelf, *grid, pairing, place, &levels, grid, at_same_points))
        return false;
    *out = pair_difference_of(job, *grid, pairing, &levels);
    if (!levels.is_given) /* one of the two may be known all the same */
        difference_own_values(*grid, pairing_variant_cell(*grid, pairing), pairing_reference_cell(*grid, pairing),
                              &levels.variant, &levels.reference, out);
    return true;
}

/* All quantities at one place. A quantity that one of the two lacks altogether is left out; the first is always told.
 */
static bool compare_quantities(const struct compare_job *job, const struct axis_grids *grids,
                               const struct pairing *pairing, const struct place_of_comparison *place,
                               double *probabilities)
{
    size_t first = job->out->count;
    for (size_t i = 0; i < grids->count; i++) {
        const struct grid *grid = &grids->items[i];
        bool both = pairing_variant_cell(grid, pairing) && pairing_reference_cell(grid, pairing);
        if (quantity_is_share(grid->quantity.kind) || (i > 0 && !both))
            continue;
        struct difference difference;
        bool is_band = grid->quantity.kind == QUANTITY_THIRD_OCTAVE, at_same_points = place->at_same_points;
        if (is_band ? !band_difference(job, grids->shelf, &grid, pairing, place, &difference, &at_same_points)
                    : !pair_difference(job, grid, pairing, place, &difference))
            return false;
        probabilities[job->out->count - first] = is_band ? difference.probability : ABSENT;
        const char *basis = at_same_points ? "same points" : difference.is_curved ? "curve fit" : "line fit";
        if (!add(job, grid, pairing, place->value, &difference, basis))
            return false;
    }
    return mark_many_bands(job, first, probabilities);
}

/* `with_details`: where the difference comes from, and what it is without doubtful runs. */
static bool compare_there(const struct compare_job *job, const struct axis_grids *grids, const struct pairing *pairing,
                          double value, bool at_same_points, bool with_details)
{
    struct place_of_comparison place = { value, at_same_points };
    double *probabilities = memory_new(grids->count, sizeof *probabilities);
    if (!probabilities)
        return err_memory(job->err);
    bool fine = compare_quantities(job, grids, pairing, &place, probabilities);
    free(probabilities);
    if (!fine || !grids->is_primary || !with_details)
        return fine;
    return contributions_add(job, grids, pairing, &place) &&
           (!grids->without_far_off ||
            doubts_tell_without(job, &grids->items[0], grids->without_far_off, DOUBT_FAR_OFF, pairing, &place)) &&
           (!grids->without_doubtful ||
            doubts_tell_without(job, &grids->items[0], grids->without_doubtful, DOUBT_FINDING, pairing, &place));
}

static bool refuse(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                   const char *basis, const char *why)
{
    struct difference difference = difference_none(why);
    return add(job, grid, pairing, ABSENT, &difference, basis);
}

/* Points at which both were measured: those asked for where there are no fits to answer that, else all of them.
 * Where there is none and there are no fits, that is told as refused. */
static bool compare_same_points(const struct compare_job *job, const struct axis_grids *grids,
                                const struct pairing *pairing, bool besides_fits)
{
    const struct grid *grid = &grids->items[0];
    if (!besides_fits && grids->axis->is_asked) {
        for (size_t i = 0; i < grids->axis->points.count; i++)
            if (!compare_there(job, grids, pairing, grids->axis->points.values[i], true, true))
                return false;
        return true;
    }
    struct same_point *points;
    size_t count;
    if (!same_points_find(pairing_variant_cell(grid, pairing), pairing_reference_cell(grid, pairing), &points, &count,
                          job->err))
        return false;
    bool fine = true;
    for (size_t i = 0; i < count && fine; i++)
        fine = compare_there(job, grids, pairing, points[i].value, true, !besides_fits);
    if (count == 0 && !besides_fits)
        fine = refuse(job, grid, pairing, "same points", "no operating points of both within 2 %");
    free(points);
    return fine;
}

static bool compare_fits(const struct compare_job *job, const struct axis_grids *grids, const struct pairing *pairing)
{
    const struct axis *axis = grids->axis;
    struct points points = axis_pair_points(&job->source, axis, pairing->variant, pairing->reference);
    for (size_t i = 0; i < points.count; i++)
        if (!compare_there(job, grids, pairing, points.values[i], false, true))
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
    return refuse(job, &grids->items[0], pairing, "line fit", why);
}

static bool compare_pair(const struct compare_job *job, const struct axis_grids *grids, const struct pairing *pairing)
{
    const struct grid *grid = &grids->items[0];
    bool fits = cell_law(pairing_variant_cell(grid, pairing)) && cell_law(pairing_reference_cell(grid, pairing));
    if (fits && !compare_fits(job, grids, pairing))
        return false;
    return (fits && !grids->with_same_points) || compare_same_points(job, grids, pairing, fits);
}

bool pairs_compare(const struct compare_job *job, const struct axis_grids *grids)
{
    const struct campaign *campaign = job->source.campaign;
    size_t room = campaign->microphone_count;
    struct pairing *pairings = memory_new(room, sizeof *pairings);
    bool fine = pairings || err_memory(job->err);
    for (size_t variant = 0; variant < campaign->variant_count && fine; variant++) {
        if (variant == job->reference)
            continue;
        size_t count = pairings_find(campaign, &grids->items[0], variant, job->reference, pairings, room);
        for (size_t i = 0; i < count && fine; i++)
            fine = compare_pair(job, grids, &pairings[i]);
    }
    free(pairings);
    return fine;
}
