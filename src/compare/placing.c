/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/placing.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/text.h"
#include "base/units.h"
#include "compare/operating.h"
#include "meters/background.h"
#include "rotor/naming.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Tones of two runs are the same when they would lie this near each other at one speed. */
#define SAME_TONE 0.01

/* Less than 6 dB above the background, the rotor itself less than three times the background: ISO 3744:2010, 8.2.3. */
#define WEAK_RATIO 3

/* A step of the speed for the slope of what the filter passes. */
#define SPEED_STEP 1e-3

static bool is_mains(const struct tone *tone)
{
    return tone_is_of(tone, "mains");
}

static bool turns_with_shaft(const struct tone *tone)
{
    return tone->shaft_order > 0 && !tone_is_unexplained(tone) && !is_mains(tone) && !tone_is_of(tone, "pwm");
}

/* Where a tone of a run lies at `shaft_hz`; where it is when that is 0. */
static double placed_hz(const struct tone *tone, double shaft_hz)
{
    return shaft_hz > 0 && turns_with_shaft(tone) ? tone->shaft_order * shaft_hz : tone->hz;
}

/* Energies of a run's band at the microphone, background taken off: all of it as it was recorded, what its filter
 * passes of the tones that move, here and where they are placed, and the change of that per part of the speed. */
struct placed_band {
    double whole, here, there, there_per_speed;
    double background, gain_db;
};

static bool read_placed(const struct skirts_set *skirts, const struct run_result *run, int band_index, double shaft_hz,
                        struct placed_band *out)
{
    size_t place = quantity_band_place(run, band_index);
    if (place == SIZE_MAX)
        return false;
    const struct band *band = &run->figures.third_octave.items[place];
    const struct band_at_reference *at = &run->at_reference.bands[place];
    double k1_db = background_correct(band->level_db, at->background_db).k1_db;
    *out = (struct placed_band){
        .whole = db_to_power_ratio(band->level_db - k1_db),
        .background = is_given(at->background_db) ? db_to_power_ratio(at->background_db) : 0,
        .gain_db = at->level_db - (band->level_db - k1_db),
    };
    for (size_t i = 0; i < run->rotor.tone_count; i++) {
        const struct tone *tone = &run->rotor.tones[i];
        if (!(shaft_hz > 0) || !turns_with_shaft(tone))
            continue;
        double hz = placed_hz(tone, shaft_hz), there = skirts_energy(skirts, run, band_index, hz, tone->level_db);
        out->here += skirts_energy(skirts, run, band_index, tone->hz, tone->level_db);
        out->there += there;
        out->there_per_speed +=
            (skirts_energy(skirts, run, band_index, hz * (1 + SPEED_STEP), tone->level_db) - there) / SPEED_STEP;
    }
    return isfinite(out->whole) && isfinite(out->gain_db);
}

static double placed_energy(const struct placed_band *band)
{
    return fmax(band->whole - band->here, 0) + band->there;
}

bool placing_has_tones(const struct skirts_set *skirts, const struct run_result *run, int band_index)
{
    size_t place = quantity_band_place(run, band_index);
    double sum = 0;
    for (size_t i = 0; place != SIZE_MAX && i < run->rotor.tone_count; i++)
        if (!is_mains(&run->rotor.tones[i]))
            sum += skirts_energy(skirts, run, band_index, run->rotor.tones[i].hz, run->rotor.tones[i].level_db);
    return place != SIZE_MAX &&
           sum > PLACING_NOTICEABLE * db_to_power_ratio(run->figures.third_octave.items[place].level_db);
}

double placing_level_db(const struct skirts_set *skirts, const struct run_result *run, int band_index, double shaft_hz)
{
    struct placed_band band;
    if (!read_placed(skirts, run, band_index, shaft_hz, &band))
        return ABSENT;
    return band.gain_db + power_ratio_to_db(placed_energy(&band));
}

/* The speed of this variant at `value`, by a line through the lg of its runs' speeds. 0: not known. */
static bool find_speed(const struct grid_source *source, double value, struct cell *cell, struct err *err)
{
    struct sample *speeds = memory_new(cell->count, sizeof *speeds);
    struct law law;
    size_t count = 0;
    if (!speeds)
        return err_memory(err);
    for (size_t i = 0; i < cell->count; i++) {
        double rpm = source->runs[cell->samples[i].run].rotor.rpm_measured;
        if (rpm > 0)
            speeds[count++] = (struct sample){ .value = cell->samples[i].value, .y = log(rpm) };
    }
    bool fine = law_fit(speeds, count, &law, err);
    free(speeds);
    if (!fine || !law.is_fitted)
        return fine;
    double x = log10(value), line = fit_value(&law.straight, x);
    struct uncertainty parts[2] = {
        { sqrt(law.straight.residual_squares / law.straight.degrees_of_freedom * fit_leverage(&law.straight, x)),
          law.straight.degrees_of_freedom },
        uncertainty_rectangular(fit_value(&law.curved, x) - line),
    };
    cell->speed = uncertainty_sum(parts, 2);
    cell->shaft_hz = rpm_to_hz(exp(line));
    return true;
}

static void place(const struct placed_band *band, struct sample *sample)
{
    double energy = placed_energy(band);
    if (!(band->here > 0) && !(band->there > 0))
        return;
    sample->background_per_db *= band->whole / energy;
    sample->per_speed = 10 / log(10) * band->there_per_speed / energy;
    sample->per_tone_db = (band->there - band->here) / energy;
    if (!sample->is_upper_bound && energy < WEAK_RATIO * band->background) {
        sample->is_upper_bound = true;
        energy += band->background;
    }
    sample->y = band->gain_db + power_ratio_to_db(energy);
}

/* Why runs were left out: the tone that fills the band there, or one that is told apart in some runs only. */
struct veil {
    double low, high, strongest;
    const struct tone *tone;
    bool is_uneven;
};

static void veil_add(struct veil *veil, double value, const struct tone *tone, double energy)
{
    veil->low = fmin(veil->low, value);
    veil->high = fmax(veil->high, value);
    if (energy > veil->strongest) {
        veil->strongest = energy;
        veil->tone = tone;
    }
}

/* The tones were taken off, and what is left is as uncertain as they are: too much for what it is to be. */
static bool is_hidden(const struct placed_band *band)
{
    double uncertain = (db_to_power_ratio(PLACING_TONE_DB) - 1) * band->here;
    return uncertain > PLACING_NOTICEABLE * placed_energy(band);
}

static bool has_tone_at(const struct run_result *run, double shaft_hz, double hz)
{
    for (size_t i = 0; i < run->rotor.tone_count; i++)
        if (fabs(placed_hz(&run->rotor.tones[i], shaft_hz) / hz - 1) < SAME_TONE)
            return true;
    return false;
}

/* What the steps below work on: one band of one cell. */
struct work {
    const struct grid_source *source;
    int band_index;
    struct cell *cell;
    bool *is_out;    /* of each sample */
    bool *is_uneven; /* of each sample, of those that are not out */
    struct veil veil;
};

static const struct run_result *work_run(const struct work *work, size_t sample)
{
    return &work->source->runs[work->cell->samples[sample].run];
}

static void leave_out_hidden(struct work *work)
{
    for (size_t i = 0; i < work->cell->count; i++) {
        const struct run_result *run = work_run(work, i);
        struct placed_band band;
        if (!read_placed(work->source->skirts, run, work->band_index, work->cell->shaft_hz, &band) || !is_hidden(&band))
            continue;
        work->is_out[i] = true;
        for (size_t k = 0; k < run->rotor.tone_count; k++)
            if (turns_with_shaft(&run->rotor.tones[k]))
                veil_add(&work->veil, work->cell->samples[i].value, &run->rotor.tones[k],
                         skirts_energy(work->source->skirts, run, work->band_index, run->rotor.tones[k].hz,
                                       run->rotor.tones[k].level_db));
    }
}

/* Runs without a tone that most have, or with one that most lack, are marked. */
static void judge_tone(struct work *work, size_t sample, const struct tone *tone)
{
    double hz = placed_hz(tone, work->cell->shaft_hz);
    size_t with = 0, of = 0;
    for (size_t k = 0; k < work->cell->count; k++)
        if (!work->is_out[k]) {
            of++;
            with += has_tone_at(work_run(work, k), work->cell->shaft_hz, hz);
        }
    bool is_common = 2 * with > of;
    for (size_t k = 0; k < work->cell->count && with < of; k++) {
        if (work->is_out[k] || (is_common ? has_tone_at(work_run(work, k), work->cell->shaft_hz, hz) : k != sample))
            continue;
        work->is_uneven[k] = true;
        work->veil.is_uneven = true;
        veil_add(&work->veil, work->cell->samples[k].value, tone, db_to_power_ratio(tone->level_db));
    }
}

static void leave_out_uneven(struct work *work)
{
    if (!(work->cell->shaft_hz > 0)) /* nothing is known to move */
        return;
    for (size_t i = 0; i < work->cell->count; i++) {
        const struct run_result *run = work_run(work, i);
        struct placed_band band;
        if (work->is_out[i] || !read_placed(work->source->skirts, run, work->band_index, work->cell->shaft_hz, &band))
            continue;
        for (size_t k = 0; k < run->rotor.tone_count; k++) {
            const struct tone *tone = &run->rotor.tones[k];
            double there = skirts_energy(work->source->skirts, run, work->band_index,
                                         placed_hz(tone, work->cell->shaft_hz), tone->level_db);
            double least = turns_with_shaft(tone) ? PLACING_NOTICEABLE : PLACING_NOTICEABLE_STRAY;
            if (!is_mains(tone) && there > least * placed_energy(&band))
                judge_tone(work, i, tone);
        }
    }
}

static void keep_the_rest(struct work *work)
{
    struct cell *cell = work->cell;
    size_t kept = 0;
    for (size_t i = 0; i < cell->count; i++) {
        struct placed_band band;
        if (work->is_out[i] || work->is_uneven[i])
            continue;
        if (read_placed(work->source->skirts, work_run(work, i), work->band_index, work->cell->shaft_hz, &band))
            place(&band, &cell->samples[i]);
        cell->samples[kept++] = cell->samples[i];
    }
    cell->count = kept;
    cell->clean_count = 0;
    for (size_t i = 0; i < kept; i++)
        cell->clean_count += !cell->samples[i].is_upper_bound;
}

static void tell_veil(const struct veil *veil, enum operating_quantity at, struct cell *cell)
{
    const char *unit = operating_unit(at);
    if (!veil->tone)
        return;
    const char *name = tone_is_unexplained(veil->tone) ? "a tone of unknown source" : veil->tone->source;
    if (veil->is_uneven)
        text_fit(cell->veil, sizeof cell->veil, "%s lies in this band, and is heard in some runs only", name);
    else if (veil->high > veil->low * SAME_POINT_RATIO)
        text_fit(cell->veil, sizeof cell->veil,
                 "%s fills this band from %.3g to %.3g %s, and what else it holds there is not known", name, veil->low,
                 veil->high, unit);
    else
        text_fit(cell->veil, sizeof cell->veil,
                 "%s fills this band at %.3g %s, and what else it holds there is not known", name, veil->low, unit);
}

bool placing_apply(const struct grid_source *source, const struct grid *grid, double value, bool is_far,
                   struct cell *cell, struct err *err)
{
    struct work work = { source,
                         grid->quantity.band_index,
                         cell,
                         memory_new(cell->count, sizeof *work.is_out),
                         memory_new(cell->count, sizeof *work.is_uneven),
                         { .low = HUGE_VAL, .high = -HUGE_VAL } };
    bool fine = work.is_out && work.is_uneven;
    if (!fine)
        err_memory(err);
    fine = fine && find_speed(source, value, cell, err);
    if (fine && is_far) {
        leave_out_hidden(&work);
        leave_out_uneven(&work);
        tell_veil(&work.veil, grid->at, cell);
    }
    if (fine)
        keep_the_rest(&work);
    free(work.is_out);
    free(work.is_uneven);
    return fine;
}
