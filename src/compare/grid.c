/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/grid.h"

#include "base/absent.h"
#include "base/memory.h"
#include "compare/operating.h"
#include "compare/placing.h"
#include "compare/scatter.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Values this close to the end of a range are at it: a rounding of the last digits is no extrapolation. */
#define AT_THE_END 1e-9

bool run_is_usable(const struct run_result *run)
{
    return run_result_verdict(run) != SEVERITY_UNUSABLE;
}

bool run_is_doubtful(const struct run_result *run)
{
    for (size_t i = 0; i < run->findings.count; i++)
        if (run->findings.items[i].severity == SEVERITY_DOUBTFUL && !is_given(run->findings.items[i].band_hz))
            return true;
    return false;
}

static bool cell_fill(const struct grid_source *source, const struct grid *grid, struct cell *cell)
{
    cell->samples = memory_new(source->run_count, sizeof *cell->samples);
    if (!cell->samples)
        return false;
    for (size_t i = 0; i < source->run_count; i++) {
        const struct run_result *run = &source->runs[i];
        if (source->run_variant[i] != cell->variant || source->run_microphone[i] != cell->microphone ||
            !run_is_usable(run) || (source->left_out && source->left_out[i]))
            continue;
        struct sample sample = {
            .value = operating_value(run, &source->campaign->variants[cell->variant], grid->at),
            .is_doubtful = run_is_doubtful(run),
            .run = i,
        };
        if (!(sample.value > 0) || !isfinite(sample.value) || (source->without_doubtful && sample.is_doubtful) ||
            !quantity_read(run, &source->campaign->variants[cell->variant], &source->campaign->air, &grid->quantity,
                           &sample))
            continue;
        cell->samples[cell->count++] = sample;
        cell->clean_count += !sample.is_upper_bound;
        cell->has_tones = cell->has_tones || (grid->quantity.kind == QUANTITY_THIRD_OCTAVE &&
                                              placing_has_tones(source->skirts, run, grid->quantity.band_index));
    }
    samples_sort(cell->samples, cell->count);
    return true;
}

static bool cell_fit(struct cell *cell, struct err *err)
{
    if (!law_fit(cell->samples, cell->count, &cell->all, err))
        return false;
    cell->clean = cell->all;
    if (cell->clean_count != cell->count) {
        struct sample *clean = memory_new(cell->clean_count, sizeof *clean);
        if (!clean)
            return err_memory(err);
        size_t count = 0;
        for (size_t i = 0; i < cell->count; i++)
            if (!cell->samples[i].is_upper_bound)
                clean[count++] = cell->samples[i];
        bool fitted = law_fit(clean, count, &cell->clean, err);
        law_repeats(clean, count, &cell->clean, &cell->repeat_squares, &cell->repeat_degrees);
        free(clean);
        return fitted;
    }
    law_repeats(cell->samples, cell->count, &cell->all, &cell->repeat_squares, &cell->repeat_degrees);
    return true;
}

enum grid_kind { GRID_PLAIN, GRID_PLACED, GRID_LAWLESS };

static bool cell_make(const struct grid_source *source, const struct grid *grid, enum grid_kind kind, double value,
                      struct cell *cell, struct err *err)
{
    if (!cell_fill(source, grid, cell))
        return err_memory(err);
    if (kind != GRID_PLAIN && !placing_apply(source, grid, value, kind == GRID_PLACED, cell, err))
        return false;
    if (kind == GRID_LAWLESS) {
        law_repeats(cell->samples, cell->count, &cell->all, &cell->repeat_squares, &cell->repeat_degrees);
        return true;
    }
    return cell_fit(cell, err);
}

static bool build(const struct grid_source *source, enum operating_quantity at, const struct quantity *quantity,
                  enum grid_kind kind, double value, struct grid *out, struct err *err)
{
    const struct campaign *campaign = source->campaign;
    struct grid grid = { .at = at, .quantity = *quantity };
    grid.cells = memory_new(campaign->variant_count * campaign->microphone_count, sizeof *grid.cells);
    if (!grid.cells)
        return err_memory(err);
    for (size_t variant = 0; variant < campaign->variant_count; variant++)
        for (size_t microphone = 0; microphone < campaign->microphone_count; microphone++) {
            struct cell *cell = &grid.cells[grid.cell_count++];
            cell->variant = variant;
            cell->microphone = microphone;
            if (!cell_make(source, &grid, kind, value, cell, err)) {
                grid_clear(&grid);
                return false;
            }
        }
    scatter_judge(&grid);
    *out = grid;
    return true;
}

bool grid_build(const struct grid_source *source, enum operating_quantity at, const struct quantity *quantity,
                struct grid *out, struct err *err)
{
    return build(source, at, quantity, GRID_PLAIN, ABSENT, out, err);
}

bool grid_build_placed(const struct grid_source *source, enum operating_quantity at, const struct quantity *quantity,
                       double value, struct grid *out, struct err *err)
{
    return build(source, at, quantity, GRID_PLACED, value, out, err);
}

bool grid_build_lawless(const struct grid_source *source, enum operating_quantity at, const struct quantity *quantity,
                        double value, struct grid *out, struct err *err)
{
    return build(source, at, quantity, GRID_LAWLESS, value, out, err);
}

void grid_clear(struct grid *grid)
{
    for (size_t i = 0; i < grid->cell_count; i++)
        free(grid->cells[i].samples);
    free(grid->cells);
    *grid = (struct grid){ 0 };
}

const struct cell *grid_cell_at(const struct grid *grid, size_t variant, size_t microphone)
{
    for (size_t i = 0; i < grid->cell_count; i++)
        if (grid->cells[i].variant == variant && grid->cells[i].microphone == microphone)
            return &grid->cells[i];
    return NULL;
}

const struct cell *grid_cell(const struct grid *grid, size_t variant, size_t microphone)
{
    const struct cell *cell = grid_cell_at(grid, variant, microphone);
    return cell && cell->count > 0 ? cell : NULL;
}

static bool in_range(const struct fit *fit, double lg_value)
{
    return lg_value >= fit->low - AT_THE_END && lg_value <= fit->high + AT_THE_END;
}

/* Takes the law's value; false when it would lean on upper bounds the wrong way round: raising a bound must not lower
 * the value, or the value would be no bound. */
static bool take(const struct cell *cell, const struct law *law, bool with_bounds, double lg_value,
                 struct estimate *out)
{
    const struct fit *fit = &law->chosen;
    out->y = fit_value(fit, lg_value);
    out->slope = fit_slope(fit, lg_value);
    out->leverage = fit_leverage(fit, lg_value);
    out->is_of_law = true;
    out->is_curved = law->curve_weight > 0;
    out->curvature = law_doubt(law, lg_value);
    out->background_per_db = 0;
    out->run_count = 0;
    double per_speed = 0, per_tone_db = 0;
    for (size_t i = 0; i < cell->count; i++) {
        const struct sample *sample = &cell->samples[i];
        if (sample->is_upper_bound && !with_bounds)
            continue;
        double weight = fit_weight(fit, lg_value, log10(sample->value));
        if (sample->is_upper_bound && weight < 0)
            return false;
        out->background_per_db += sample->is_upper_bound ? 0 : weight * sample->background_per_db;
        per_speed += weight * sample->per_speed;
        per_tone_db += weight * sample->per_tone_db;
        out->run_count++;
    }
    out->placing =
        hypot(per_speed * cell->speed.standard, uncertainty_rectangular(per_tone_db * PLACING_TONE_DB).standard);
    out->is_upper_bound = with_bounds;
    out->is_given = true;
    return true;
}

void grid_estimate(const struct grid *grid, const struct cell *cell, double value, struct estimate *out)
{
    *out = (struct estimate){ .y = ABSENT };
    double lg_value = log10(value);
    bool has_bounds = cell->clean_count != cell->count;
    if (cell->clean.is_fitted && in_range(&cell->clean.straight, lg_value)) {
        take(cell, &cell->clean, false, lg_value, out);
        return;
    }
    if (cell->veil[0] && (!cell->all.is_fitted || !in_range(&cell->all.straight, lg_value))) {
        snprintf(out->reason, sizeof out->reason, "%s", cell->veil);
        return;
    }
    if (!cell->all.is_fitted) {
        snprintf(out->reason, sizeof out->reason, "fewer than three operating points");
        return;
    }
    if (!in_range(&cell->all.straight, lg_value)) {
        snprintf(out->reason, sizeof out->reason, "%.4g %s is outside the %.4g to %.4g %s that was measured", value,
                 operating_unit(grid->at), cell->samples[0].value, cell->samples[cell->count - 1].value,
                 operating_unit(grid->at));
        return;
    }
    if (!has_bounds || !take(cell, &cell->all, true, lg_value, out))
        snprintf(out->reason, sizeof out->reason,
                 "too near the background there: only upper bounds, which do not bound the fit");
}
