/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/why_where.h"

#include "base/absent.h"
#include "base/units.h"
#include "meters/weighting.h"
#include "rotor/naming.h"

#include <math.h>

#define HALF 0.5

static bool is_in(const struct band *band, const struct tone *tone)
{
    return tone->hz >= band->low_hz && tone->hz < band->high_hz;
}

/* The part of a band's energy that is no tone. */
static double noise_part(const struct run_result *run, const struct band *band)
{
    double tones = 0;
    for (size_t i = 0; i < run->rotor.tone_count; i++)
        if (is_in(band, &run->rotor.tones[i]))
            tones += db_to_power_ratio(run->rotor.tones[i].level_db - band->level_db);
    return fmax(1 - tones, 0);
}

/* Of the noise in a band at the reference distance, A-weighted, in any common unit; ABSENT where tones hold half of the
 * band or more, or its level is only a bound. */
static double noise_energy(const struct run_result *run, size_t index)
{
    const struct bands *bands = &run->figures.third_octave;
    if (index >= bands->count || index >= run->at_reference.band_count || run->at_reference.bands[index].is_upper_bound)
        return ABSENT;
    const struct band *band = &bands->items[index];
    double part = noise_part(run, band);
    if (!isfinite(band->level_db) || !(part > HALF))
        return ABSENT;
    return part *
           db_to_power_ratio(run->at_reference.bands[index].level_db + weighting_db(WEIGHTING_A, band->exact_hz));
}

static size_t index_of(const struct run_result *run, const struct band *band)
{
    size_t index = 0;
    while (index < run->figures.third_octave.count && run->figures.third_octave.items[index].index != band->index)
        index++;
    return index;
}

double why_noise_band(const struct view *view, double at, size_t variant, double difference_db)
{
    const struct run_result *ours = view_run(view, variant, at), *theirs = view_run(view, view->results->reference, at);
    double best_hz = ABSENT, most = 0;
    for (size_t i = 0; ours && theirs && i < ours->figures.third_octave.count; i++) {
        const struct band *band = &ours->figures.third_octave.items[i];
        double rise = noise_energy(ours, i) - noise_energy(theirs, index_of(theirs, band));
        if ((difference_db < 0 ? -rise : rise) > most) {
            most = fabs(rise);
            best_hz = band->nominal_hz;
        }
    }
    return best_hz;
}

static size_t louder_of(const struct view *view, size_t variant, double difference_db)
{
    return difference_db < 0 ? view->results->reference : variant;
}

static double a_level_db(const struct tone *tone)
{
    return tone->level_db + weighting_db(WEIGHTING_A, tone->hz);
}

const struct tone *why_tone(const struct view *view, double at, size_t variant, double difference_db,
                            enum why_part_kind kind, size_t *rotor)
{
    *rotor = louder_of(view, variant, difference_db);
    const struct run_result *run = view_run(view, *rotor, at);
    const struct tone *best = NULL;
    for (size_t i = 0; run && i < run->rotor.tone_count; i++) {
        const struct tone *tone = &run->rotor.tones[i];
        if (tone_is_blade(tone) == (kind == WHY_BLADE_TONES) && (!best || a_level_db(tone) > a_level_db(best)))
            best = tone;
    }
    return best;
}

const struct tone *why_tone_in_band(const struct view *view, double at, size_t variant, double difference_db,
                                    double band_hz, size_t *rotor)
{
    *rotor = louder_of(view, variant, difference_db);
    const struct run_result *run = view_run(view, *rotor, at);
    const struct band *band = NULL;
    const struct tone *best = NULL;
    for (size_t i = 0; run && i < run->figures.third_octave.count && !band; i++)
        if (fabs(run->figures.third_octave.items[i].nominal_hz / band_hz - 1) < 0.01)
            band = &run->figures.third_octave.items[i];
    if (!band || noise_part(run, band) > HALF)
        return NULL;
    for (size_t i = 0; i < run->rotor.tone_count; i++) {
        const struct tone *tone = &run->rotor.tones[i];
        if (is_in(band, tone) && (!best || tone->level_db > best->level_db))
            best = tone;
    }
    return best;
}
