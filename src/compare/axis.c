/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/axis.h"

#include "compare/operating.h"

#include <math.h>

bool axis_range(const struct grid_source *source, size_t variant, enum operating_quantity at, double *low, double *high)
{
    *low = HUGE_VAL;
    *high = -HUGE_VAL;
    for (size_t i = 0; i < source->run_count; i++) {
        if (source->run_variant[i] != variant || !run_is_usable(&source->runs[i]))
            continue;
        double value = operating_value(&source->runs[i], &source->campaign->variants[variant], at);
        if (!(value > 0) || !isfinite(value))
            continue;
        *low = fmin(*low, value);
        *high = fmax(*high, value);
    }
    return *high >= *low;
}

static bool has_usable_runs(const struct grid_source *source, size_t variant)
{
    for (size_t i = 0; i < source->run_count; i++)
        if (source->run_variant[i] == variant && run_is_usable(&source->runs[i]))
            return true;
    return false;
}

static void spread(double low, double high, struct points *out)
{
    out->count = operating_spread(low, high, out->values);
}

void axis_find(const struct grid_source *source, size_t reference, enum operating_quantity at, struct axis *out)
{
    *out = (struct axis){ .at = at };
    const struct campaign *campaign = source->campaign;
    double low = 0, high = HUGE_VAL;
    size_t with_runs = 0, with_values = 0;
    bool reference_has_it = false;
    for (size_t variant = 0; variant < campaign->variant_count; variant++) {
        double variant_low, variant_high;
        with_runs += has_usable_runs(source, variant);
        if (!axis_range(source, variant, at, &variant_low, &variant_high))
            continue;
        with_values++;
        reference_has_it = reference_has_it || variant == reference;
        low = fmax(low, variant_low);
        high = fmin(high, variant_high);
    }
    out->is_everywhere = with_runs > 0 && with_values == with_runs;
    out->variant_count = reference_has_it ? with_values : 0;
    for (size_t i = 0; i < campaign->compare_point_count && out->points.count < COMPARE_POINTS_MAX; i++)
        if (campaign->compare_points[i].quantity == at) {
            out->points.values[out->points.count++] = campaign->compare_points[i].value;
            out->is_asked = true;
        }
    if (!out->is_asked && with_values > 0)
        spread(low, high, &out->points);
}

struct points axis_pair_points(const struct grid_source *source, const struct axis *axis, size_t variant,
                               size_t reference)
{
    struct points points = axis->points;
    if (points.count > 0)
        return points;
    double low[2], high[2];
    if (axis_range(source, variant, axis->at, &low[0], &high[0]) &&
        axis_range(source, reference, axis->at, &low[1], &high[1]))
        spread(fmax(low[0], low[1]), fmin(high[0], high[1]), &points);
    return points;
}

bool axis_primary(const struct axis axes[OPERATING_QUANTITY_COUNT], enum operating_quantity *out)
{
    size_t most = 0;
    for (int asked = 1; asked >= 0; asked--)
        for (size_t i = 0; i < OPERATING_QUANTITY_COUNT; i++) {
            const struct axis *axis = &axes[operating_order[i]];
            if (asked ? axis->is_asked : axis->is_everywhere) {
                *out = axis->at;
                return true;
            }
        }
    for (size_t i = 0; i < OPERATING_QUANTITY_COUNT; i++)
        if (axes[operating_order[i]].variant_count > most) {
            most = axes[operating_order[i]].variant_count;
            *out = operating_order[i];
        }
    return most > 0;
}
