/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/contributions.h"

#include "base/absent.h"
#include "base/units.h"
#include "compare/collect.h"
#include "meters/weighting.h"

#include <math.h>
#include <stdio.h>

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

/* Bands that only one of the two has at this place are left to "outside the bands". */
static bool tell_bands(const struct teller *teller, const struct axis_grids *grids,
                       const struct place_of_comparison *place)
{
    struct energies rest = teller->whole;
    bool any = false;
    for (size_t i = 0; i < grids->count; i++) {
        const struct quantity *quantity = &grids->items[i].quantity;
        struct pair_estimates levels;
        if (quantity->kind != QUANTITY_THIRD_OCTAVE)
            continue;
        if (!pair_estimate(teller->job, &grids->items[i], teller->pairing, place, &levels))
            return false;
        if (!levels.is_given)
            continue;
        /* exact mid-band frequency, IEC 61260-1:2014, 5.3 */
        double weight_db = weighting_db(WEIGHTING_A, 1000 * db_to_power_ratio(quantity->band_index));
        struct energies band = { db_to_power_ratio(levels.variant.y + weight_db),
                                 db_to_power_ratio(levels.reference.y + weight_db) };
        char part[48];
        snprintf(part, sizeof part, "%g Hz", quantity->band_nominal_hz);
        if (!tell(teller, part, quantity->band_nominal_hz, band))
            return false;
        rest.variant -= band.variant;
        rest.reference -= band.reference;
        any = true;
    }
    return !any || tell(teller, "outside the bands", ABSENT, rest);
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
