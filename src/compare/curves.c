/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/curves.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "compare/collect.h"
#include "compare/scatter.h"

#include <math.h>

#define FIT_POINTS 41

static double own_unit(const struct grid *grid, double y)
{
    return quantity_is_logarithmic(grid->quantity.kind) ? exp(y) : y;
}

static void fill_band(const struct grid *grid, const struct cell *cell, const struct law *law, struct curve *curve)
{
    for (size_t i = 0; i < curve->fit_count; i++) {
        double x =
            law->straight.low + (law->straight.high - law->straight.low) * (double)i / (double)(curve->fit_count - 1);
        struct estimate estimate = { .is_of_law = true,
                                     .y = fit_value(&law->chosen, x),
                                     .leverage = fit_leverage(&law->chosen, x),
                                     .curvature = law_doubt(law, x) };
        struct uncertainty sum = estimate_uncertainty(grid, cell, &estimate);
        double reach = student_factor_two_sided(sum.degrees_of_freedom, 0.95) * sum.standard;
        curve->fit[i] = (struct fit_point){ db_to_power_ratio(10 * x), own_unit(grid, estimate.y),
                                            own_unit(grid, estimate.y - reach), own_unit(grid, estimate.y + reach) };
    }
}

/* Slope of the straight line through the same runs, whichever law was chosen: the mean slope over the range. Its
 * interval comes from the scatter about that line. Logarithmic quantities have none: it would be no level's. */
static void fill_slope(const struct grid *grid, const struct law *law, struct curve *curve)
{
    curve->slope_db_per_decade = curve->slope_ci95_low = curve->slope_ci95_high = ABSENT;
    if (quantity_is_logarithmic(grid->quantity.kind))
        return;
    const struct fit *straight = &law->straight;
    double slope = fit_slope(straight, straight->centre), reach = ABSENT;
    if (straight->degrees_of_freedom > 0)
        reach = student_factor_two_sided(straight->degrees_of_freedom, 0.95) *
                sqrt(straight->residual_squares / straight->degrees_of_freedom *
                     fit_slope_leverage(straight, straight->centre));
    curve->slope_db_per_decade = slope;
    curve->slope_ci95_low = slope - reach;
    curve->slope_ci95_high = slope + reach;
}

static bool add_curve(const struct compare_job *job, const struct grid *grid, const struct cell *cell)
{
    const struct campaign *campaign = job->source.campaign;
    const struct law *law = cell_law(cell);
    struct curve *curve = collect_curve(job->out);
    if (!curve)
        return err_memory(job->err);
    curve->at = grid->at;
    curve->residual_db = curve->slope_db_per_decade = curve->slope_ci95_low = curve->slope_ci95_high = ABSENT;
    collect_name(curve->quantity, sizeof curve->quantity, quantity_key(grid->quantity.kind));
    collect_name(curve->variant, sizeof curve->variant, campaign->variants[cell->variant].name);
    collect_name(curve->microphone, sizeof curve->microphone, campaign->microphones[cell->microphone].name);
    curve->points = memory_new(cell->count, sizeof *curve->points);
    if (!curve->points)
        return err_memory(job->err);
    for (size_t i = 0; i < cell->count; i++) {
        const struct sample *sample = &cell->samples[i];
        curve->points[curve->point_count++] = (struct curve_point){ sample->value, own_unit(grid, sample->y),
                                                                    sample->is_doubtful, sample->is_upper_bound };
    }
    if (!law)
        return true;
    curve->fit = memory_new(FIT_POINTS, sizeof *curve->fit);
    if (!curve->fit)
        return err_memory(job->err);
    curve->fit_count = FIT_POINTS;
    fill_band(grid, cell, law, curve);
    fill_slope(grid, law, curve);
    const struct fit *chosen = &law->chosen;
    if (chosen->degrees_of_freedom > 0)
        curve->residual_db = sqrt(chosen->residual_squares / chosen->degrees_of_freedom);
    collect_name(curve->basis, sizeof curve->basis, law->curve_weight > 0 ? "curve fit" : "line fit");
    return true;
}

bool curves_add(const struct compare_job *job, const struct grid *grid)
{
    for (size_t i = 0; i < grid->cell_count; i++)
        if (grid->cells[i].count > 0 && !add_curve(job, grid, &grid->cells[i]))
            return false;
    return true;
}
