/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "report/faults.h"
#include "report/show.h"

#include <stdio.h>
#include <string.h>

/* Without a curve of the comparison: the usable runs as they are. */
static void add_plain_runs(const struct view *view, struct chart *chart)
{
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        chart_series(chart, SERIES_POINTS, view_look(view, v),
                     view_has_variant_runs(view, v) ? show_variant(view_variant(view, v)).text : "");
        for (size_t i = 0; i < view->results->run_count; i++) {
            const struct run_result *run = &view->results->runs[i];
            double at = view_operating(view, run);
            if (view_counts(view, run, v) && is_given(at))
                chart_add(chart, (struct datum){ at, run_level_db(run), ABSENT, ABSENT, told_is_marked(run),
                                                 run->at_reference.is_upper_bound });
        }
    }
}

static void add_line(struct chart *chart, const struct curve *curve, size_t look, const char *name)
{
    chart_series(chart, SERIES_LINE, look, name);
    for (size_t i = 0; i < curve->fit_count; i++)
        chart_add(chart, (struct datum){ curve->fit[i].value, curve->fit[i].level_db, ABSENT, ABSENT, false, false });
}

static void add_curve(const struct view *view, struct chart *chart, const struct curve *curve)
{
    size_t variant = view_variant_of(view, curve->variant), look = view_look(view, variant);
    chart_series(chart, SERIES_BAND, look, "");
    for (size_t i = 0; i < curve->fit_count; i++)
        chart_add(chart, (struct datum){ curve->fit[i].value, ABSENT, curve->fit[i].ci95_low_db,
                                         curve->fit[i].ci95_high_db, false, false });
    add_line(chart, curve, look, "");
    chart_series(chart, SERIES_POINTS, look, show_variant(view_variant(view, variant)).text);
    for (size_t i = 0; i < curve->point_count; i++)
        chart_add(chart, (struct datum){ curve->points[i].value, curve->points[i].level_db, ABSENT, ABSENT,
                                         curve->points[i].is_doubtful, curve->points[i].is_upper_bound });
}

static bool is_of_chart(const struct view *view, const struct curve *curve, const char *quantity)
{
    size_t variant = view_variant_of(view, curve->variant);
    return curve->at == view->at && strcmp(curve->quantity, quantity) == 0 && variant < view_variant_count(view) &&
           view_is_of_runs(view, variant, curve->microphone);
}

/* Of rotors that are not shown the fits, in grey under the others, with one entry in the legend. */
static void add_other_curves(const struct view *view, struct chart *chart, const char *quantity)
{
    const struct comparisons *all = &view->results->comparisons;
    size_t count = 0;
    for (size_t i = 0; i < all->curve_count; i++)
        if (is_of_chart(view, &all->curves[i], quantity) && all->curves[i].fit_count > 0 &&
            !view_is_shown(view, view_variant_of(view, all->curves[i].variant)))
            add_line(chart, &all->curves[i], LOOK_OTHERS, count++ == 0 ? "others" : "");
}

struct chart *curve_chart(const struct view *view, const char *quantity)
{
    const struct comparisons *all = &view->results->comparisons;
    struct chart *chart = chart_new();
    char label[SHOW_MAX + 40];
    size_t curve_count = 0;
    bool is_level = strcmp(quantity, "LAeq_db") == 0;
    if (is_level && is_given(view->results->campaign->reference_distance_m))
        snprintf(label, sizeof label, "LAeq at %s m, %s",
                 show_plain(view->results->campaign->reference_distance_m, 2).text, show_level_unit(view->results));
    else
        snprintf(label, sizeof label, "%s", show_quantity_header(view->results, quantity).text);
    chart_axes(chart, SCALE_LINEAR, show_operating_axis(view->at).text, label);
    add_other_curves(view, chart, quantity);
    for (size_t i = 0; i < all->curve_count; i++)
        if (is_of_chart(view, &all->curves[i], quantity) &&
            view_is_shown(view, view_variant_of(view, all->curves[i].variant))) {
            add_curve(view, chart, &all->curves[i]);
            curve_count++;
        }
    if (curve_count == 0 && is_level)
        add_plain_runs(view, chart);
    chart_fit_x(chart, 0.04);
    chart_fit_y(chart, is_level ? 6 : 0.05, false);
    return chart;
}
