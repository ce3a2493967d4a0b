/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/at_reference.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "meters/absorption.h"
#include "meters/background.h"
#include "meters/weighting.h"

#include <math.h>
#include <stdlib.h>

#define ABSORPTION_FROM_DB 0.05
#define WEAK_SHARE 0.01
/* The A-level is an upper bound when without the bands that are ones it would be lower by more than this. */
#define UPPER_BOUND_WORTH_DB 0.5

/* A-weighted energies of the bands, in any one unit. */
struct band_sums {
    double measured, corrected, background, at_reference, upper_bound;
};

static double background_of_band(const struct figures *background, int index)
{
    for (size_t i = 0; background && i < background->third_octave.count; i++)
        if (background->third_octave.items[i].index == index)
            return background->third_octave.items[i].level_db;
    return ABSENT;
}

static double spreading_db(const struct reference_conditions *conditions)
{
    return amplitude_ratio_to_db(conditions->distance_m / conditions->reference_distance_m);
}

/* Over the distance from reference to microphone, 0 where it does not reach 0.05 dB or is not known. */
static double absorbed_db(const struct reference_conditions *conditions, double hz)
{
    double db = absorption_db_m(&conditions->air, hz) * (conditions->distance_m - conditions->reference_distance_m);
    return fabs(db) >= ABSORPTION_FROM_DB ? db : 0;
}

static void compute_band(const struct band *band, const struct reference_conditions *conditions,
                         struct band_at_reference *out, struct band_sums *sums)
{
    double spreading = spreading_db(conditions);
    out->background_db = background_of_band(conditions->background, band->index);
    struct background_correction correction = background_correct(band->level_db, out->background_db);
    double corrected_db = band->level_db - correction.k1_db, absorbed = absorbed_db(conditions, band->exact_hz);
    out->is_upper_bound = correction.is_upper_bound;
    out->level_db = corrected_db + (is_given(spreading) ? spreading : 0) + absorbed;
    if (!is_given(band->level_db))
        return;
    double weight_db = weighting_db(WEIGHTING_A, band->exact_hz), energy = db_to_power_ratio(corrected_db + weight_db);
    sums->measured += db_to_power_ratio(band->level_db + weight_db);
    sums->corrected += energy;
    sums->at_reference += db_to_power_ratio(corrected_db + absorbed + weight_db);
    if (is_given(out->background_db))
        sums->background += db_to_power_ratio(out->background_db + weight_db);
    if (out->is_upper_bound)
        sums->upper_bound += energy;
}

/* What the bands say that the A-level changes by. The A-level itself was measured by its own filter; with nothing to
 * correct it stays as it is to the last bit. */
static double change_db(double after, double before)
{
    return before > 0 && after != before ? power_ratio_to_db(after / before) : 0;
}

static void compute_a_level(const struct figures *figures, const struct reference_conditions *conditions,
                            const struct band_sums *sums, struct at_reference *out)
{
    double spreading = spreading_db(conditions);
    out->distance_correction_db = spreading;
    out->absorption_correction_db = change_db(sums->at_reference, sums->corrected);
    out->background_correction_db = ABSENT;
    out->laeq_db = figures->levels.laeq_db;
    if (conditions->background && is_given(conditions->background->levels.laeq_db)) {
        out->background_correction_db = change_db(sums->corrected, sums->measured);
        double rest = sums->corrected - sums->upper_bound;
        out->is_upper_bound =
            background_correct(figures->levels.laeq_db, conditions->background->levels.laeq_db).is_upper_bound ||
            (sums->upper_bound > 0 && !(change_db(rest, sums->corrected) >= -UPPER_BOUND_WORTH_DB));
        out->laeq_db += out->background_correction_db;
    }
    out->laeq_db += (is_given(spreading) ? spreading : 0) + out->absorption_correction_db;
}

static double a_energy(const struct band *band, const struct band_at_reference *at_reference)
{
    return db_to_power_ratio(at_reference->level_db + weighting_db(WEIGHTING_A, band->exact_hz));
}

/* Neighbouring bands share one finding; it is a note where they hold next to nothing of the A-weighted energy. */
static void find_weak_bands(const struct figures *figures, const struct at_reference *at_reference,
                            struct findings *findings)
{
    const struct band *items = figures->third_octave.items;
    double whole = 0;
    for (size_t i = 0; i < at_reference->band_count; i++)
        if (is_given(at_reference->bands[i].level_db))
            whole += a_energy(&items[i], &at_reference->bands[i]);
    for (size_t first = 0; first < at_reference->band_count; first++) {
        if (!at_reference->bands[first].is_upper_bound)
            continue;
        size_t last = first;
        while (last + 1 < at_reference->band_count && at_reference->bands[last + 1].is_upper_bound)
            last++;
        double weak = 0;
        for (size_t i = first; i <= last; i++)
            weak += a_energy(&items[i], &at_reference->bands[i]);
        enum severity severity = weak > WEAK_SHARE * whole ? SEVERITY_DOUBTFUL : SEVERITY_NOTE;
        if (first == last)
            findings_add(findings, "low-snr", severity, items[first].nominal_hz,
                         "the %.6g Hz band is less than 6 dB above the background: its level is an upper bound; record "
                         "nearer, or where it is quieter",
                         items[first].nominal_hz);
        else
            findings_add(findings, "low-snr", severity, items[first].nominal_hz,
                         "the bands from %.6g to %.6g Hz are less than 6 dB above the background: their levels are "
                         "upper bounds; record nearer, or where it is quieter",
                         items[first].nominal_hz, items[last].nominal_hz);
        first = last;
    }
}

bool at_reference_compute(const struct figures *figures, const struct reference_conditions *conditions,
                          struct at_reference *out, struct findings *findings, struct err *err)
{
    const struct bands *third_octave = &figures->third_octave;
    struct at_reference result = { .band_count = third_octave->count };
    struct band_sums sums = { 0 };
    result.bands = memory_new(third_octave->count, sizeof *result.bands);
    if (!result.bands)
        return err_memory(err);
    for (size_t i = 0; i < third_octave->count; i++)
        compute_band(&third_octave->items[i], conditions, &result.bands[i], &sums);
    compute_a_level(figures, conditions, &sums, &result);
    find_weak_bands(figures, &result, findings);
    if (result.is_upper_bound)
        findings_add(
            findings, "low-snr", SEVERITY_DOUBTFUL, ABSENT,
            "the A-level stands too little above the background: it is an upper bound; record nearer, or where "
            "it is quieter");
    if (findings->failed) {
        at_reference_clear(&result);
        return err_memory(err);
    }
    at_reference_clear(out);
    *out = result;
    return true;
}

void at_reference_clear(struct at_reference *at_reference)
{
    free(at_reference->bands);
    *at_reference = (struct at_reference){ 0 };
}
