/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/quantity.h"

#include "base/absent.h"
#include "base/units.h"
#include "compare/momentum.h"

#include <math.h>
#include <stdint.h>

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

bool quantity_is_never_negative(enum quantity_kind kind)
{
    return !quantity_is_level(kind) && kind != QUANTITY_AUDIBILITY;
}

bool quantity_is_smooth(enum quantity_kind kind)
{
    return kind != QUANTITY_SHARPNESS && kind != QUANTITY_ROUGHNESS && kind != QUANTITY_FLUCTUATION &&
           kind != QUANTITY_ANNOYANCE_TONAL && kind != QUANTITY_AUDIBILITY;
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

/* Blade lines that are hidden could make the sum louder by this; from there on it says too little (the finding
 * blade-hidden). */
#define BLADE_SHORTFALL_MOST_DB 1

double run_blade_tone_db(const struct run_result *run)
{
    double power = 0;
    for (size_t i = 0; i < run->rotor.blade_passage_count; i++) {
        const struct blade_passage *line = &run->rotor.blade_passages[i];
        if (line->verdict != BLADE_ABSENT && is_given(line->level_db))
            power += db_to_power_ratio(line->level_db);
    }
    if (!(power > 0) || run->rotor.blade_shortfall_db >= BLADE_SHORTFALL_MOST_DB)
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

size_t quantity_band_place(const struct run_result *run, int band_index)
{
    const struct bands *bands = &run->figures.third_octave;
    for (size_t i = 0; i < bands->count && i < run->at_reference.band_count; i++)
        if (bands->items[i].index == band_index)
            return i;
    return SIZE_MAX;
}

static void read_band(const struct run_result *run, int band_index, struct sample *sample)
{
    size_t place = quantity_band_place(run, band_index);
    if (place == SIZE_MAX)
        return;
    const struct band_at_reference *at = &run->at_reference.bands[place];
    double level_db = run->figures.third_octave.items[place].level_db;
    sample->y = at->level_db;
    sample->is_upper_bound = at->is_upper_bound;
    if (is_given(at->background_db) && isfinite(level_db))
        sample->background_per_db = per_background_db(db_to_power_ratio(at->background_db - level_db));
}

static void read_level(const struct run_result *run, struct sample *sample)
{
    sample->y = run->at_reference.laeq_db;
    sample->is_upper_bound = run->at_reference.is_upper_bound;
    if (is_given(run->at_reference.background_correction_db))
        sample->background_per_db =
            per_background_db(1 - db_to_power_ratio(run->at_reference.background_correction_db));
}

/* Figures that are one number of the run. */
static double figure_of(const struct run_result *run, const struct variant *variant, const struct air *air,
                        enum quantity_kind kind)
{
    const struct hearing_figures *hearing = &run->figures.hearing;
    const struct shares *shares = &run->rotor.shares;
    switch (kind) {
    case QUANTITY_LAEQ:
    case QUANTITY_THIRD_OCTAVE: /* more than a number */
        return ABSENT;
    case QUANTITY_BLADE_TONE:
        return run_blade_tone_db(run);
    case QUANTITY_LOUDNESS_N5:
        return hearing->loudness_n5_sone;
    case QUANTITY_SHARPNESS:
        return hearing->sharpness_acum;
    case QUANTITY_ROUGHNESS:
        return hearing->roughness_asper;
    case QUANTITY_FLUCTUATION:
        return hearing->fluctuation_vacil;
    case QUANTITY_ANNOYANCE:
        return hearing->annoyance;
    case QUANTITY_ANNOYANCE_TONAL:
        return hearing->annoyance_tonal;
    case QUANTITY_AUDIBILITY:
        return run->tonality.audibility_db;
    case QUANTITY_POWER_LOADING:
        return run->thrust_n / run->power_w;
    case QUANTITY_FIGURE_OF_MERIT:
        return figure_of_merit(run->thrust_n, run->power_w, variant_disc_area_m2(variant), air_density_kg_m3(air));
    case QUANTITY_BLADE_SHARE:
        return shares->blade_pct;
    case QUANTITY_OTHER_TONES_SHARE:
        return shares->named_pct + shares->unexplained_pct;
    case QUANTITY_BROADBAND_SHARE:
        return shares->broadband_pct;
    }
    return ABSENT;
}

bool quantity_read(const struct run_result *run, const struct variant *variant, const struct air *air,
                   const struct quantity *quantity, struct sample *sample)
{
    sample->y = ABSENT;
    sample->is_upper_bound = false;
    sample->background_per_db = 0;
    if (quantity->kind == QUANTITY_LAEQ)
        read_level(run, sample);
    else if (quantity->kind == QUANTITY_THIRD_OCTAVE)
        read_band(run, quantity->band_index, sample);
    else
        sample->y = figure_of(run, variant, air, quantity->kind);
    if (!isfinite(sample->y))
        return false;
    if (!quantity_is_logarithmic(quantity->kind))
        return true;
    if (!(sample->y > 0))
        return false;
    sample->y = log(sample->y);
    return true;
}
