/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/quantity.h"

#include "base/absent.h"
#include "base/units.h"
#include "compare/momentum.h"

#include <math.h>

const char *quantity_key(enum quantity_kind kind)
{
    switch (kind) {
    case QUANTITY_LAEQ:
        return "LAeq_db";
    case QUANTITY_THIRD_OCTAVE:
        return "third_octave_db";
    case QUANTITY_BLADE_TONE:
        return "blade_tone_db";
    case QUANTITY_LOUDNESS_N5:
        return "loudness_n5_sone";
    case QUANTITY_SHARPNESS:
        return "sharpness_acum";
    case QUANTITY_ROUGHNESS:
        return "roughness_asper";
    case QUANTITY_FLUCTUATION:
        return "fluctuation_vacil";
    case QUANTITY_ANNOYANCE:
        return "annoyance";
    case QUANTITY_ANNOYANCE_TONAL:
        return "annoyance_tonal";
    case QUANTITY_AUDIBILITY:
        return "audibility_db";
    case QUANTITY_POWER_LOADING:
        return "power_loading_n_w";
    case QUANTITY_FIGURE_OF_MERIT:
        return "figure_of_merit";
    case QUANTITY_BLADE_SHARE:
        return "blade_pct";
    case QUANTITY_OTHER_TONES_SHARE:
        return "other_tones_pct";
    case QUANTITY_BROADBAND_SHARE:
        return "broadband_pct";
    }
    return "";
}

bool quantity_is_level(enum quantity_kind kind)
{
    return kind == QUANTITY_LAEQ || kind == QUANTITY_THIRD_OCTAVE || kind == QUANTITY_BLADE_TONE;
}

bool quantity_is_logarithmic(enum quantity_kind kind)
{
    return kind == QUANTITY_LOUDNESS_N5 || kind == QUANTITY_ANNOYANCE || kind == QUANTITY_ANNOYANCE_TONAL ||
           kind == QUANTITY_POWER_LOADING;
}

bool quantity_is_share(enum quantity_kind kind)
{
    return kind == QUANTITY_BLADE_SHARE || kind == QUANTITY_OTHER_TONES_SHARE || kind == QUANTITY_BROADBAND_SHARE;
}

/* Loudness doubles for 10 phon (definition of the sone above 1 sone, ISO 532); annoyance follows N5 (Fastl and Zwicker,
 * Psychoacoustics, psychoacoustic annoyance: from memory). Audibility is a ratio of levels in one recording: no gain.
 */
double quantity_per_gain_db(enum quantity_kind kind)
{
    switch (kind) {
    case QUANTITY_LAEQ:
    case QUANTITY_THIRD_OCTAVE:
    case QUANTITY_BLADE_TONE:
        return 1;
    case QUANTITY_LOUDNESS_N5:
    case QUANTITY_ANNOYANCE:
    case QUANTITY_ANNOYANCE_TONAL:
        return log(2) / 10;
    case QUANTITY_AUDIBILITY:
    case QUANTITY_POWER_LOADING:
    case QUANTITY_FIGURE_OF_MERIT:
    case QUANTITY_BLADE_SHARE:
    case QUANTITY_OTHER_TONES_SHARE:
    case QUANTITY_BROADBAND_SHARE:
        return 0;
    case QUANTITY_SHARPNESS:
    case QUANTITY_ROUGHNESS:
    case QUANTITY_FLUCTUATION:
        return ABSENT;
    }
    return ABSENT;
}

double run_blade_tone_db(const struct run_result *run)
{
    double power = 0;
    for (size_t i = 0; i < run->rotor.blade_passage_count; i++) {
        const struct blade_passage *line = &run->rotor.blade_passages[i];
        if (line->verdict != BLADE_ABSENT && is_given(line->level_db))
            power += db_to_power_ratio(line->level_db);
    }
    if (!(power > 0))
        return ABSENT;
    double distance_db = run->at_reference.distance_correction_db;
    return power_ratio_to_db(power) + (is_given(distance_db) ? distance_db : 0);
}

/* With the background `residual` (its part of the energy measured), L = Lm + 10 lg(1 - residual) and
 * dL / dLb = -residual / (1 - residual) (GUM 5.1.3 applied to K1 of ISO 3744:2010). */
static double per_background_db(double residual)
{
    return residual > 0 && residual < 1 ? -residual / (1 - residual) : 0;
}

static bool read_band(const struct run_result *run, int band_index, struct sample *sample)
{
    const struct bands *bands = &run->figures.third_octave;
    for (size_t i = 0; i < bands->count && i < run->at_reference.band_count; i++) {
        if (bands->items[i].index != band_index)
            continue;
        const struct band_at_reference *at = &run->at_reference.bands[i];
        sample->y = at->level_db;
        sample->is_upper_bound = at->is_upper_bound;
        if (is_given(at->background_db) && isfinite(bands->items[i].level_db))
            sample->background_per_db =
                per_background_db(db_to_power_ratio(at->background_db - bands->items[i].level_db));
        return isfinite(at->level_db);
    }
    return false;
}

static bool read_share(const struct run_result *run, enum quantity_kind kind, double *pct)
{
    const struct shares *shares = &run->rotor.shares;
    double blade = shares->blade_pct, others = shares->named_pct + shares->unexplained_pct;
    *pct = kind == QUANTITY_BLADE_SHARE ? blade : kind == QUANTITY_OTHER_TONES_SHARE ? others : shares->broadband_pct;
    return isfinite(*pct);
}

static bool read_figure(const struct run_result *run, const struct variant *variant, const struct air *air,
                        const struct quantity *quantity, struct sample *sample)
{
    const struct hearing_figures *hearing = &run->figures.hearing;
    switch (quantity->kind) {
    case QUANTITY_LAEQ:
        sample->y = run->at_reference.laeq_db;
        sample->is_upper_bound = run->at_reference.is_upper_bound;
        if (is_given(run->at_reference.background_correction_db))
            sample->background_per_db =
                per_background_db(1 - db_to_power_ratio(run->at_reference.background_correction_db));
        return isfinite(sample->y);
    case QUANTITY_THIRD_OCTAVE:
        return read_band(run, quantity->band_index, sample);
    case QUANTITY_BLADE_TONE:
        sample->y = run_blade_tone_db(run);
        return isfinite(sample->y);
    case QUANTITY_LOUDNESS_N5:
        sample->y = hearing->loudness_n5_sone;
        return isfinite(sample->y);
    case QUANTITY_SHARPNESS:
        sample->y = hearing->sharpness_acum;
        return isfinite(sample->y);
    case QUANTITY_ROUGHNESS:
        sample->y = hearing->roughness_asper;
        return isfinite(sample->y);
    case QUANTITY_FLUCTUATION:
        sample->y = hearing->fluctuation_vacil;
        return isfinite(sample->y);
    case QUANTITY_ANNOYANCE:
        sample->y = hearing->annoyance;
        return isfinite(sample->y);
    case QUANTITY_ANNOYANCE_TONAL:
        sample->y = hearing->annoyance_tonal;
        return isfinite(sample->y);
    case QUANTITY_AUDIBILITY:
        sample->y = run->tonality.audibility_db;
        return isfinite(sample->y);
    case QUANTITY_POWER_LOADING:
        sample->y = run->thrust_n / run->power_w;
        return isfinite(sample->y);
    case QUANTITY_FIGURE_OF_MERIT:
        sample->y = figure_of_merit(run->thrust_n, run->power_w, variant_disc_area_m2(variant), air_density_kg_m3(air));
        return isfinite(sample->y);
    case QUANTITY_BLADE_SHARE:
    case QUANTITY_OTHER_TONES_SHARE:
    case QUANTITY_BROADBAND_SHARE:
        return read_share(run, quantity->kind, &sample->y);
    }
    return false;
}

bool quantity_read(const struct run_result *run, const struct variant *variant, const struct air *air,
                   const struct quantity *quantity, struct sample *sample)
{
    sample->is_upper_bound = false;
    sample->background_per_db = 0;
    if (!read_figure(run, variant, air, quantity, sample))
        return false;
    if (!quantity_is_logarithmic(quantity->kind))
        return true;
    if (!(sample->y > 0))
        return false;
    sample->y = log(sample->y);
    return true;
}
