/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/contributions.h"

#include "base/absent.h"
#include "base/units.h"
#include "compare/collect.h"
#include "compare/operating.h"
#include "compare/placing.h"
#include "meters/weighting.h"

#include <math.h>
#include <stdio.h>

/* Bands of the nearest runs that carry less are not told of. */
#define LEAST_TOLD_DB 0.05

/* Energies of one part or of the whole, A-weighted, in any common unit. */
struct energies {
    double variant, reference;
};

static double share_db(struct energies part, struct energies whole)
{
    double rise = part.variant - part.reference, whole_rise = whole.variant - whole.reference;
    double larger = fmax(whole.variant, whole.reference);
    if (fabs(whole_rise) < 1e-9 * larger) /* the limit of the formula; its error is of second order in the difference */
        return 10 / log(10) * rise / larger;
    return power_ratio_to_db(whole.variant / whole.reference) * (rise / whole_rise);
}

struct teller {
    const struct compare_job *job;
    enum operating_quantity at;
    const struct pairing *pairing;
    double value;
    struct energies whole;
};

static bool tell(const struct teller *teller, const char *part, double band_hz, struct energies energies)
{
    const struct campaign *campaign = teller->job->source.campaign;
    struct contribution *item = collect_contribution(teller->job->out);
    if (!item)
        return err_memory(teller->job->err);
    item->at = teller->at;
    item->value = teller->value;
    item->band_hz = band_hz;
    item->share_db = share_db(energies, teller->whole);
    collect_name(item->variant, sizeof item->variant, campaign->variants[teller->pairing->variant].name);
    collect_name(item->part, sizeof item->part, part);
    pairing_microphones(campaign, teller->pairing, item->microphone, sizeof item->microphone);
    return true;
}

/* A band that no law tells: its part of the A-level of the runs nearest to the place, of the A-level there. Tones lie
 * where they do at the place, or they would count in two bands. */
static double nearest_band_db(const struct teller *teller, const struct cell *level_cell, int band_index,
                              double shaft_hz, double level_db)
{
    const struct sample *samples = level_cell->samples;
    size_t start = 0, end, best_start = 0, best_end = 0;
    for (; start < level_cell->count; start = end) {
        end = sample_group_end(samples, level_cell->count, start);
        if (best_end == 0 ||
            fabs(log(samples[start].value / teller->value)) < fabs(log(samples[best_start].value / teller->value))) {
            best_start = start;
            best_end = end;
        }
    }
    double band = 0, whole = 0;
    for (size_t i = best_start; i < best_end; i++) {
        const struct run_result *run = &teller->job->source.runs[samples[i].run];
        double placed_db = placing_level_db(teller->job->source.skirts, run, band_index, shaft_hz);
        if (!is_given(placed_db))
            continue;
        band += db_to_power_ratio(placed_db);
        whole += db_to_power_ratio(samples[i].y);
    }
    return level_db + power_ratio_to_db(band / whole);
}

struct band_levels {
    double variant_db, reference_db;
    bool is_nearest; /* no law tells them: they are of the nearest runs */
};

static bool find_levels(const struct teller *teller, const struct axis_grids *grids, const struct grid *plain,
                        const struct place_of_comparison *place, struct band_levels *out)
{
    struct pair_estimates levels;
    const struct grid *used;
    bool at_same_points;
    if (!band_shelf_estimate(teller->job, grids->shelf, plain, teller->pairing, place, &levels, &used, &at_same_points))
        return false;
    *out = (struct band_levels){ levels.is_given ? levels.variant.y : ABSENT,
                                 levels.is_given ? levels.reference.y : ABSENT,
                                 !levels.is_given && pairing_has_tones(plain, teller->pairing) };
    if (!out->is_nearest)
        return true;
    const struct pairing *pairing = teller->pairing;
    const struct cell *ours = grid_cell_at(used, pairing->variant, pairing->variant_microphone);
    const struct cell *theirs = grid_cell_at(used, pairing->reference, pairing->reference_microphone);
    int band_index = plain->quantity.band_index;
    out->variant_db = nearest_band_db(teller, pairing_variant_cell(&grids->items[0], pairing), band_index,
                                      ours->shaft_hz, power_ratio_to_db(teller->whole.variant));
    out->reference_db = nearest_band_db(teller, pairing_reference_cell(&grids->items[0], pairing), band_index,
                                        theirs->shaft_hz, power_ratio_to_db(teller->whole.reference));
    return true;
}

static bool tell_nearest(const struct teller *teller, double low_hz, double high_hz, size_t count)
{
    const struct campaign *campaign = teller->job->source.campaign;
    char microphones[132], where[152] = "";
    pairing_microphones(campaign, teller->pairing, microphones, sizeof microphones);
    if (campaign->microphone_count > 1)
        snprintf(where, sizeof where, ", microphone %s", microphones);
    char bands[100];
    if (count > 1)
        snprintf(bands, sizeof bands, "%zu of the bands from %.4g to %.4g Hz are those", count, low_hz, high_hz);
    else
        snprintf(bands, sizeof bands, "the %.4g Hz band is that", low_hz);
    return count == 0 ||
           collect_remark(teller->job->out, teller->job->err,
                          "Where the difference of %s from %s at %.4g %s%s comes from: %s of the nearest runs, "
                          "with their tones where they lie there.",
                          campaign->variants[teller->pairing->variant].name,
                          campaign->variants[teller->pairing->reference].name, teller->value,
                          operating_unit(teller->at), where, bands);
}

/* Bands that only one of the two has at this place are left to "outside the bands". */
static bool tell_bands(const struct teller *teller, const struct axis_grids *grids,
                       const struct place_of_comparison *place)
{
    struct energies rest = teller->whole;
    bool any = false;
    double low_hz = HUGE_VAL, high_hz = 0;
    size_t nearest = 0;
    for (size_t i = 0; i < grids->count; i++) {
        const struct quantity *quantity = &grids->items[i].quantity;
        struct band_levels levels;
        if (quantity->kind != QUANTITY_THIRD_OCTAVE)
            continue;
        if (!find_levels(teller, grids, &grids->items[i], place, &levels))
            return false;
        if (!is_given(levels.variant_db) || !is_given(levels.reference_db))
            continue;
        /* exact mid-band frequency, IEC 61260-1:2014, 5.3 */
        double weight_db = weighting_db(WEIGHTING_A, 1000 * db_to_power_ratio(quantity->band_index));
        struct energies band = { db_to_power_ratio(levels.variant_db + weight_db),
                                 db_to_power_ratio(levels.reference_db + weight_db) };
        char part[48];
        snprintf(part, sizeof part, "%g Hz", quantity->band_nominal_hz);
        if (!tell(teller, part, quantity->band_nominal_hz, band))
            return false;
        if (levels.is_nearest && fabs(share_db(band, teller->whole)) >= LEAST_TOLD_DB) {
            low_hz = fmin(low_hz, quantity->band_nominal_hz);
            high_hz = fmax(high_hz, quantity->band_nominal_hz);
            nearest++;
        }
        rest.variant -= band.variant;
        rest.reference -= band.reference;
        any = true;
    }
    return !any || (tell(teller, "outside the bands", ABSENT, rest) && tell_nearest(teller, low_hz, high_hz, nearest));
}

static bool tell_tones(const struct teller *teller, const struct axis_grids *grids,
                       const struct place_of_comparison *place)
{
    static const struct {
        enum quantity_kind kind;
        const char *part;
    } parts[] = { { QUANTITY_BLADE_SHARE, "blade tones" },
                  { QUANTITY_OTHER_TONES_SHARE, "other tones" },
                  { QUANTITY_BROADBAND_SHARE, "broadband" } };
    struct energies shares[3], sum = { 0, 0 };
    size_t found = 0;
    for (size_t k = 0; k < 3; k++)
        for (size_t i = 0; i < grids->count; i++) {
            struct pair_estimates percents;
            if (grids->items[i].quantity.kind != parts[k].kind)
                continue;
            if (!pair_estimate(teller->job, &grids->items[i], teller->pairing, place, &percents))
                return false;
            if (!percents.is_given)
                continue;
            shares[k] = (struct energies){ fmax(percents.variant.y, 0), fmax(percents.reference.y, 0) };
            sum.variant += shares[k].variant;
            sum.reference += shares[k].reference;
            found++;
        }
    if (found != 3 || !(sum.variant > 0) || !(sum.reference > 0))
        return true;
    for (size_t k = 0; k < 3; k++) {
        struct energies part = { teller->whole.variant * shares[k].variant / sum.variant,
                                 teller->whole.reference * shares[k].reference / sum.reference };
        if (!tell(teller, parts[k].part, ABSENT, part))
            return false;
    }
    return true;
}

bool contributions_add(const struct compare_job *job, const struct axis_grids *grids, const struct pairing *pairing,
                       const struct place_of_comparison *place)
{
    struct pair_estimates levels;
    if (!pair_estimate(job, &grids->items[0], pairing, place, &levels))
        return false;
    if (!levels.is_given || levels.variant.is_upper_bound || levels.reference.is_upper_bound)
        return true;
    struct teller teller = {
        .job = job,
        .at = grids->items[0].at,
        .pairing = pairing,
        .value = place->value,
        .whole = { db_to_power_ratio(levels.variant.y), db_to_power_ratio(levels.reference.y) },
    };
    return tell_bands(&teller, grids, place) && tell_tones(&teller, grids, place);
}
