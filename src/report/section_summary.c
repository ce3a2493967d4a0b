/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "compare/words.h"
#include "report/answer.h"
#include "report/faults.h"
#include "report/show.h"

#include <stdio.h>
#include <string.h>

double run_level_db(const struct run_result *run)
{
    return is_given(run->at_reference.laeq_db) ? run->at_reference.laeq_db : run->figures.levels.laeq_db;
}

struct shown show_run_level(const struct run_result *run)
{
    struct shown out, level = show(run_level_db(run), 1);
    snprintf(out.text, sizeof out.text, "%s%.90s", run->at_reference.is_upper_bound ? "\xe2\x89\xa4 " : "", level.text);
    return out;
}

/* Without a curve of the comparison: the usable runs as they are. */
static void add_plain_runs(const struct view *view, struct chart *chart)
{
    for (size_t v = 0; v < view_variant_count(view); v++) {
        chart_series(chart, SERIES_POINTS, v,
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

static void add_curve(const struct view *view, struct chart *chart, const struct curve *curve)
{
    size_t variant = view_variant_of(view, curve->variant);
    if (variant == view_variant_count(view))
        return;
    chart_series(chart, SERIES_BAND, variant, "");
    for (size_t i = 0; i < curve->fit_count; i++)
        chart_add(chart, (struct datum){ curve->fit[i].value, ABSENT, curve->fit[i].ci95_low_db,
                                         curve->fit[i].ci95_high_db, false, false });
    chart_series(chart, SERIES_LINE, variant, "");
    for (size_t i = 0; i < curve->fit_count; i++)
        chart_add(chart, (struct datum){ curve->fit[i].value, curve->fit[i].level_db, ABSENT, ABSENT, false, false });
    chart_series(chart, SERIES_POINTS, variant, show_variant(view_variant(view, variant)).text);
    for (size_t i = 0; i < curve->point_count; i++)
        chart_add(chart, (struct datum){ curve->points[i].value, curve->points[i].level_db, ABSENT, ABSENT,
                                         curve->points[i].is_doubtful, curve->points[i].is_upper_bound });
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
    for (size_t i = 0; i < all->curve_count; i++)
        if (all->curves[i].at == view->at && strcmp(all->curves[i].quantity, quantity) == 0 &&
            view_is_of_runs(view, view_variant_of(view, all->curves[i].variant), all->curves[i].microphone)) {
            add_curve(view, chart, &all->curves[i]);
            curve_count++;
        }
    if (curve_count == 0 && is_level)
        add_plain_runs(view, chart);
    chart_fit_x(chart, 0.04);
    chart_fit_y(chart, is_level ? 6 : 0.05, false);
    return chart;
}

static const char *microphone_of(const struct view *view, size_t variant)
{
    const char *name = variant >= VIEW_VARIANTS_MAX          ? NULL
                       : variant == view->results->reference ? view->run_microphone[variant]
                                                             : view->pair_microphone[variant];
    return name ? name : "";
}

#define ROWS_MAX 15 /* what fits on the first page; beyond that the table is of the middle point */

/* One row a variant and point: level, difference with its interval, verdict. */
static void add_table(const struct view *view, struct document *document)
{
    struct table *table = table_new("");
    char level[SHOW_MAX];
    snprintf(level, sizeof level, "LAeq, %s", show_level_unit(view->results));
    table_column(table, "At", false);
    table_column(table, "Rotor", true);
    if (view->has_many_microphones)
        table_column(table, "Microphone", true);
    table_column(table, level, false);
    table_column(table, "Difference, dB", false);
    table_column(table, "95 % interval, dB", false);
    table_column(table, "Verdict", true);
    bool has_all = view->value_count * view_variant_count(view) <= ROWS_MAX;
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t v = 0, row = 0; v < view_variant_count(view) && (has_all || view_is_middle(view, p)); v++) {
            const struct comparison *item = view_comparison(view, view->values[p], "LAeq_db", ABSENT, v);
            struct view_value value;
            char words[sizeof item->words];
            bool is_reference = v == view->results->reference;
            if (!view_value(view, view->values[p], "LAeq_db", ABSENT, v, &value) && !item)
                continue;
            table_row(table, row++ == 0);
            table_cell(table, "%s", show_operating(view->at, view->values[p]).text);
            table_cell(table, "%s", view_variant(view, v)->name);
            table_look(table, v);
            if (view->has_many_microphones)
                table_cell(table, "%s", microphone_of(view, v));
            bool is_refused = item && item->verdict == COMPARE_REFUSED;
            table_cell(table, "%s", show(is_refused ? ABSENT : value.value, 1).text);
            table_cell(table, "%s",
                       is_reference ? "reference" : show_signed(item ? item->difference_db : ABSENT, 1).text);
            table_cell(table, "%s", item ? show_interval(item->ci95_low_db, item->ci95_high_db, 1).text : "");
            table_cell(table, "%s", item ? words_of_verdict(item, words, sizeof words) : "");
        }
    document_table(document, table);
    if (!has_all)
        document_add(document, BLOCK_QUIET, "The other points are in the appendix.");
}

/* How many recordings are fit to use, and what is wrong with the others. */
static void add_fitness(const struct view *view, struct document *document)
{
    struct text out = { 0 };
    runs_verdicts_tell(view, &out);
    faults_tell(view->results, FAULTS_BRIEF, &out);
    if (out.data)
        document_add(document, BLOCK_ITEM, "Recordings: %s", out.data);
    document->failed = document->failed || out.failed;
    text_clear(&out);
}

void section_summary(const struct view *view, struct document *document)
{
    document_section(document, "summary", "Summary");
    answer_add(view, document);
    add_fitness(view, document);
    document_chart(document, curve_chart(view, "LAeq_db"), 235,
                   "A-weighted level of each rotor against its operating point, at the reference distance, background "
                   "taken off. Each marker is a run (open: doubtful; arrow: at most this); lines are fits through the "
                   "runs, bands their 95 % intervals.");
    if (view->is_compared)
        add_table(view, document);
    document_add(document, BLOCK_QUIET,
                 "A level measured here is no legal or certification measurement: see Cautions.");
}
