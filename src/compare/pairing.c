/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/pairing.h"

#include "base/absent.h"
#include "base/text.h"
#include "compare/operating.h"
#include "compare/same_points.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

static const struct cell *largest_cell(const struct grid *grid, size_t variant)
{
    const struct cell *best = NULL;
    for (size_t i = 0; i < grid->cell_count; i++)
        if (grid->cells[i].variant == variant && grid->cells[i].count > (best ? best->count : 0))
            best = &grid->cells[i];
    return best;
}

size_t pairings_find(const struct campaign *campaign, const struct grid *grid, size_t variant, size_t reference,
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

void pairing_microphones(const struct campaign *campaign, const struct pairing *pairing, char *field, size_t size)
{
    const char *ours = campaign->microphones[pairing->variant_microphone].name;
    const char *theirs = campaign->microphones[pairing->reference_microphone].name;
    if (pairing->variant_microphone == pairing->reference_microphone)
        text_fit(field, size, "%s", ours);
    else
        text_fit(field, size, "%s / %s", ours, theirs);
}

const struct cell *pairing_variant_cell(const struct grid *grid, const struct pairing *pairing)
{
    return grid_cell(grid, pairing->variant, pairing->variant_microphone);
}

const struct cell *pairing_reference_cell(const struct grid *grid, const struct pairing *pairing)
{
    return grid_cell(grid, pairing->reference, pairing->reference_microphone);
}

bool pairing_has_tones(const struct grid *grid, const struct pairing *pairing)
{
    const struct cell *ours = pairing_variant_cell(grid, pairing), *theirs = pairing_reference_cell(grid, pairing);
    return (ours && ours->has_tones) || (theirs && theirs->has_tones);
}

static bool from_same_points(const struct compare_job *job, const struct grid *grid, const struct cell *ours,
                             const struct cell *theirs, double value, struct pair_estimates *out)
{
    struct same_point *points;
    size_t count, best = SIZE_MAX;
    double least = log(SAME_POINT_RATIO) * (1 + 1e-9);
    if (!same_points_find(ours, theirs, &points, &count, job->err))
        return false;
    for (size_t i = 0; i < count; i++)
        if (fabs(log(points[i].value / value)) <= least) {
            least = fabs(log(points[i].value / value));
            best = i;
        }
    if (best != SIZE_MAX) {
        out->variant = points[best].variant;
        out->reference = points[best].reference;
        out->mismatch_db = same_point_mismatch_db(grid->at, points[best].lg_ratio);
        out->is_given = true;
    } else {
        text_fit(out->reason, sizeof out->reason,
                 "fewer than three operating points of one of them, and none of both within 2 %% of %.4g %s", value,
                 operating_unit(grid->at));
    }
    free(points);
    return true;
}

bool pair_estimate(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                   const struct place_of_comparison *place, struct pair_estimates *out)
{
    *out = (struct pair_estimates){ 0 };
    const struct cell *cells[2] = { pairing_variant_cell(grid, pairing), pairing_reference_cell(grid, pairing) };
    struct estimate *estimates[2] = { &out->variant, &out->reference };
    const size_t variants[2] = { pairing->variant, pairing->reference };
    const size_t microphones[2] = { pairing->variant_microphone, pairing->reference_microphone };
    for (int i = 0; i < 2; i++)
        if (!cells[i]) {
            const struct cell *cell = grid_cell_at(grid, variants[i], microphones[i]);
            bool is_veiled = cell && cell->veil[0];
            text_fit(out->reason, sizeof out->reason, "%s%s%s", job->source.campaign->variants[variants[i]].name,
                     is_veiled ? ": " : "", is_veiled ? cell->veil : " has no value there");
        }
    if (place->at_same_points)
        return out->reason[0] || from_same_points(job, grid, cells[0], cells[1], place->value, out);
    for (int i = 0; i < 2; i++) {
        if (!cells[i])
            continue;
        grid_estimate(grid, cells[i], place->value, estimates[i]);
        if (!estimates[i]->is_given && !out->reason[0])
            text_fit(out->reason, sizeof out->reason, "%s: %s", job->source.campaign->variants[variants[i]].name,
                     estimates[i]->reason);
    }
    out->is_given = !out->reason[0];
    return true;
}

struct difference difference_none(const char *reason)
{
    struct difference none = {
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
    text_fit(none.reason, sizeof none.reason, "%s", reason);
    return none;
}

struct difference pair_difference_of(const struct compare_job *job, const struct grid *grid,
                                     const struct pairing *pairing, const struct pair_estimates *estimates)
{
    struct difference out = difference_none(estimates->reason);
    if (estimates->is_given)
        difference_compute(job->source.campaign, job->source.runs, grid, pairing_variant_cell(grid, pairing),
                           pairing_reference_cell(grid, pairing), &estimates->variant, &estimates->reference,
                           estimates->mismatch_db, &out);
    return out;
}

bool pair_difference(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                     const struct place_of_comparison *place, struct difference *out)
{
    struct pair_estimates estimates;
    if (!pair_estimate(job, grid, pairing, place, &estimates))
        return false;
    *out = pair_difference_of(job, grid, pairing, &estimates);
    return true;
}
