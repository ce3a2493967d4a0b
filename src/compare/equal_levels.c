/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/equal_levels.h"

#include "base/absent.h"
#include "base/units.h"
#include "compare/collect.h"
#include "compare/operating.h"
#include "compare/scatter.h"

#include <math.h>
#include <stdio.h>

#define STEPS 200   /* over the measured range, to find where the law crosses a level */
#define HALVINGS 40 /* of a step: to 1e-14 of the range */
#define LEVELS_MAX 3

struct seeker {
    const struct grid *grid;
    const struct cell *cell;
    const struct law *law;
    double level_db;
};

static double above_level(const struct seeker *seeker, double lg_value)
{
    return fit_value(&seeker->law->chosen, lg_value) - seeker->level_db;
}

/* How far the level lies outside the confidence band there; negative inside. */
static double outside_band(const struct seeker *seeker, double lg_value)
{
    const struct fit *fit = &seeker->law->chosen;
    struct estimate estimate = { .is_of_law = true,
                                 .y = fit_value(fit, lg_value),
                                 .leverage = fit_leverage(fit, lg_value),
                                 .curvature = law_doubt(seeker->law, lg_value) };
    struct uncertainty sum = estimate_uncertainty(seeker->grid, seeker->cell, &estimate);
    return fabs(estimate.y - seeker->level_db) - student_factor_two_sided(sum.degrees_of_freedom, 0.95) * sum.standard;
}

static double between(double (*function)(const struct seeker *, double), const struct seeker *seeker, double from,
                      double to)
{
    bool from_sign = function(seeker, from) > 0;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = from + (to - from) / 2;
        if ((function(seeker, middle) > 0) == from_sign)
            from = middle;
        else
            to = middle;
    }
    return from + (to - from) / 2;
}

/* The crossings of the law with the level in the measured range; *where is the first. */
static int crossings(const struct seeker *seeker, double *where)
{
    const struct fit *fit = &seeker->law->straight;
    double step = (fit->high - fit->low) / STEPS;
    int count = 0;
    for (int i = 0; i < STEPS; i++) {
        double from = fit->low + i * step, to = from + step;
        if ((above_level(seeker, from) > 0) == (above_level(seeker, to) > 0))
            continue;
        if (count++ == 0)
            *where = between(above_level, seeker, from, to);
    }
    return count;
}

/* The end of the band's interval on one side of the crossing; ABSENT when it is not reached within the range. */
static double band_end(const struct seeker *seeker, double from, double limit)
{
    double step = (limit - from) / STEPS;
    if (!is_given(outside_band(seeker, from)))
        return ABSENT;
    for (int i = 0; i < STEPS; i++) {
        double near = from + i * step, far = near + step;
        if (outside_band(seeker, far) > 0)
            return db_to_power_ratio(10 * between(outside_band, seeker, near, far));
    }
    return ABSENT;
}

static void seek(const struct seeker *seeker, enum operating_quantity at, struct equal_level *item)
{
    const struct fit *fit = &seeker->law->straight;
    double where = ABSENT;
    item->value = item->ci95_low = item->ci95_high = ABSENT;
    int count = crossings(seeker, &where);
    if (count == 0) {
        snprintf(item->reason, sizeof item->reason, "not reached from %.4g to %.4g %s, where it was measured",
                 db_to_power_ratio(10 * fit->low), db_to_power_ratio(10 * fit->high), operating_unit(at));
        return;
    }
    if (count > 1) {
        snprintf(item->reason, sizeof item->reason, "reached at more than one %s", operating_name(at));
        return;
    }
    item->value = db_to_power_ratio(10 * where);
    item->ci95_low = band_end(seeker, where, fit->low);
    item->ci95_high = band_end(seeker, where, fit->high);
    if (!is_given(item->ci95_low) || !is_given(item->ci95_high))
        snprintf(item->reason, sizeof item->reason, "the interval reaches beyond what was measured, or is not known");
}

static void level_range(const struct law *law, double *low_db, double *high_db)
{
    *low_db = HUGE_VAL;
    *high_db = -HUGE_VAL;
    for (int i = 0; i <= STEPS; i++) {
        double x = law->straight.low + (law->straight.high - law->straight.low) * i / STEPS;
        double y = fit_value(&law->chosen, x);
        *low_db = fmin(*low_db, y);
        *high_db = fmax(*high_db, y);
    }
}

/* Whole decibels spread over the levels that all reach; where there are none, the middle of the reference's own. */
static int choose_levels(const struct grid *grid, size_t microphone, size_t reference, double levels_db[LEVELS_MAX],
                         int *cell_count)
{
    double low_db = -HUGE_VAL, high_db = HUGE_VAL, own_middle_db = ABSENT;
    *cell_count = 0;
    for (size_t i = 0; i < grid->cell_count; i++) {
        const struct cell *cell = &grid->cells[i];
        double cell_low_db, cell_high_db;
        if (cell->microphone != microphone || !cell->clean.is_fitted)
            continue;
        level_range(&cell->clean, &cell_low_db, &cell_high_db);
        low_db = fmax(low_db, cell_low_db);
        high_db = fmin(high_db, cell_high_db);
        if (cell->variant == reference)
            own_middle_db = round((cell_low_db + cell_high_db) / 2);
        (*cell_count)++;
    }
    double wanted_db[LEVELS_MAX] = { ceil(low_db), round((low_db + high_db) / 2), floor(high_db) };
    int count = 0;
    for (int i = 0; i < LEVELS_MAX; i++)
        if (wanted_db[i] >= low_db && wanted_db[i] <= high_db && (count == 0 || wanted_db[i] > levels_db[count - 1]))
            levels_db[count++] = wanted_db[i];
    if (count == 0 && is_given(own_middle_db))
        levels_db[count++] = own_middle_db;
    return count;
}

static bool add(const struct compare_job *job, const struct grid *grid, const struct cell *cell, double level_db)
{
    const struct campaign *campaign = job->source.campaign;
    struct equal_level *item = collect_equal_level(job->out);
    if (!item)
        return err_memory(job->err);
    item->at = grid->at;
    item->level_db = level_db;
    collect_name(item->variant, sizeof item->variant, campaign->variants[cell->variant].name);
    collect_name(item->microphone, sizeof item->microphone, campaign->microphones[cell->microphone].name);
    struct seeker seeker = { grid, cell, &cell->clean, level_db };
    seek(&seeker, grid->at, item);
    return true;
}

bool equal_levels_add(const struct compare_job *job, const struct grid *grid)
{
    for (size_t microphone = 0; microphone < job->source.campaign->microphone_count; microphone++) {
        double levels_db[LEVELS_MAX];
        int cell_count, count = choose_levels(grid, microphone, job->reference, levels_db, &cell_count);
        for (int i = 0; i < count && cell_count > 1; i++)
            for (size_t k = 0; k < grid->cell_count; k++)
                if (grid->cells[k].microphone == microphone && grid->cells[k].clean.is_fitted &&
                    !add(job, grid, &grid->cells[k], levels_db[i]))
                    return false;
    }
    return true;
}
