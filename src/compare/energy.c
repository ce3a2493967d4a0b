/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/energy.h"

#include "base/memory.h"
#include "base/units.h"
#include "compare/collect.h"
#include "meters/weighting.h"
#include "rotor/naming.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void energy_clear(struct energy *energy)
{
    free(energy->parts);
    *energy = (struct energy){ 0 };
}

bool energy_is_known(const struct run_result *run)
{
    return isfinite(run->rotor.shares.blade_pct) && !run->at_reference.is_upper_bound;
}

/* "bearing front outer 2" is of "bearing front": two words at the end say which line of it. */
void energy_part_name(const char *source, char *out, size_t size)
{
    collect_name(out, size, source);
    bool is_bearing = strncmp(source, "bearing ", 8) == 0;
    for (int words = is_bearing ? 2 : 1; words > 0; words--) {
        char *end = is_bearing ? strrchr(out, ' ') : strchr(out, ' ');
        if (end)
            *end = '\0';
    }
}

static bool add_part(struct energy *sum, const char *source, double pct, struct err *err)
{
    for (size_t i = 0; i < sum->count; i++)
        if (strcmp(sum->parts[i].source, source) == 0) {
            sum->parts[i].pct += pct;
            return true;
        }
    void *parts = sum->parts;
    if (!memory_grow(&parts, &sum->capacity, sum->count + 1, sizeof *sum->parts))
        return err_memory(err);
    sum->parts = parts;
    struct energy_part *part = &sum->parts[sum->count++];
    *part = (struct energy_part){ .pct = pct };
    collect_name(part->source, sizeof part->source, source);
    return true;
}

static double weighted(double level_db, double hz)
{
    return db_to_power_ratio(level_db + weighting_db(WEIGHTING_A, hz));
}

/* The classes of `shares`. */
enum tone_class { CLASS_BLADE, CLASS_NAMED, CLASS_UNEXPLAINED, CLASS_COUNT };

static enum tone_class class_of(const struct tone *tone)
{
    return tone_is_blade(tone) ? CLASS_BLADE : tone_is_unexplained(tone) ? CLASS_UNEXPLAINED : CLASS_NAMED;
}

/* Each class's percent, shared out by the powers of its tones. */
static bool add_tones(struct energy *sum, const struct rotor_figures *rotor, double scale, struct err *err)
{
    static const char *const without_tones[CLASS_COUNT] = { "blade", "named", "unexplained" };
    const double pct[CLASS_COUNT] = { rotor->shares.blade_pct, rotor->shares.named_pct, rotor->shares.unexplained_pct };
    double power[CLASS_COUNT] = { 0 };
    for (size_t i = 0; i < rotor->tone_count; i++)
        power[class_of(&rotor->tones[i])] += weighted(rotor->tones[i].level_db, rotor->tones[i].hz);
    for (size_t i = 0; i < rotor->tone_count; i++) {
        const struct tone *tone = &rotor->tones[i];
        enum tone_class class = class_of(tone);
        char name[SOURCE_TEXT_MAX];
        energy_part_name(tone->source, name, sizeof name);
        double part = weighted(tone->level_db, tone->hz) / power[class];
        if (pct[class] > 0 && power[class] > 0 && !add_part(sum, name, scale * pct[class] * part, err))
            return false;
    }
    for (int class = 0; class < CLASS_COUNT; class ++)
        if (pct[class] > 0 && !(power[class] > 0) && !add_part(sum, without_tones[class], scale * pct[class], err))
            return false;
    return true;
}

/* A-weighted energies of the bands beside the tones, in any one unit. */
struct band_energies {
    double noise[SKIRTS_BAND_COUNT], background[SKIRTS_BAND_COUNT];
    double noise_sum, background_sum;
};

static void find_bands(const struct skirts_set *skirts, const struct run_result *run, struct band_energies *out)
{
    *out = (struct band_energies){ 0 };
    const struct bands *bands = &run->figures.third_octave;
    for (size_t i = 0; i < bands->count; i++) {
        int place = bands->items[i].index - SKIRTS_BAND_LOWEST;
        if (place < 0 || place >= SKIRTS_BAND_COUNT || !isfinite(bands->items[i].level_db))
            continue;
        double exact_hz = bands->items[i].exact_hz;
        double noise = db_to_power_ratio(bands->items[i].level_db), background = 0;
        for (size_t k = 0; k < run->rotor.tone_count; k++)
            noise -=
                skirts_energy(skirts, run, bands->items[i].index, run->rotor.tones[k].hz, run->rotor.tones[k].level_db);
        if (i < run->at_reference.band_count && isfinite(run->at_reference.bands[i].background_db))
            background = db_to_power_ratio(run->at_reference.bands[i].background_db);
        double weight = db_to_power_ratio(weighting_db(WEIGHTING_A, exact_hz));
        out->noise[place] = weight * fmax(noise, 0);
        out->background[place] = fmin(weight * background, out->noise[place]);
        out->noise_sum += out->noise[place];
        out->background_sum += out->background[place];
    }
}

bool energy_add(struct energy *sum, const struct skirts_set *skirts, const struct run_result *run, double weight,
                struct err *err)
{
    struct band_energies bands;
    find_bands(skirts, run, &bands);
    double broadband_pct = run->rotor.shares.broadband_pct;
    double per_energy = bands.noise_sum > 0 ? broadband_pct / bands.noise_sum : 0;
    double background_pct = per_energy * bands.background_sum;
    double scale = weight * 100 / (100 - background_pct);
    sum->broadband_pct += scale * (broadband_pct - background_pct);
    for (size_t i = 0; i < SKIRTS_BAND_COUNT; i++)
        sum->band_pct[i] += scale * per_energy * (bands.noise[i] - bands.background[i]);
    for (size_t i = 0; i < run->figures.third_octave.count; i++) {
        const struct band *band = &run->figures.third_octave.items[i];
        int place = band->index - SKIRTS_BAND_LOWEST;
        if (place >= 0 && place < SKIRTS_BAND_COUNT)
            sum->band_nominal_hz[place] = band->nominal_hz;
    }
    return add_tones(sum, &run->rotor, scale, err);
}
