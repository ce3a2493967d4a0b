/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/appendix.h"

#include "base/absent.h"
#include "compare/operating.h"
#include "report/difference_remarks.h"
#include "report/difference_rows.h"
#include "report/sections.h"
#include "report/show.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const struct budget_line *budget_line(const struct view *view, const char *variant, const char *component,
                                             double at)
{
    const struct comparisons *all = &view->results->comparisons;
    for (size_t i = 0; i < all->budget_count; i++) {
        const struct budget_line *line = &all->budget[i];
        if (line->at == view->at && view_is_at(view, line->value, at) &&
            view_is_of_pairs(view, view_variant_of(view, line->variant), line->microphone) &&
            strcmp(line->variant, variant) == 0 && strcmp(line->component, component) == 0)
            return line;
    }
    return NULL;
}

#define BUDGET_POINTS_MAX 8

static void add_budget_row(const struct view *view, struct table *table, const struct budget_line *line, bool begins)
{
    table_row(table, begins);
    table_cell(table, "%s", line->variant);
    table_look(table, view_look(view, view_variant_of(view, line->variant)));
    table_cell(table, "%s", line->component);
    for (size_t p = 0; p < view->value_count && p < BUDGET_POINTS_MAX; p++) {
        const struct budget_line *at = budget_line(view, line->variant, line->component, view->values[p]);
        table_cell(table, "%s",
                   at && !is_given(at->standard_db) ? "not known" : show(at ? at->standard_db : ABSENT, 2).text);
    }
    table_cell(table, "%s", show(line->degrees_of_freedom, 0).text);
    table_cell(table, "%s", line->cancels ? "no, it cancels" : "yes");
}

/* A row for each component of a rotor's difference, a column for each point. */
static void add_budget(const struct view *view, struct document *document)
{
    const struct comparisons *all = &view->results->comparisons;
    struct table *table = table_new("Uncertainty budget of the A-level differences (GUM): standard uncertainties");
    table_column(table, "Rotor", true);
    table_column(table, "Component", true);
    for (size_t p = 0; p < view->value_count && p < BUDGET_POINTS_MAX; p++) {
        char header[80];
        snprintf(header, sizeof header, "at %.60s, dB", show_operating(view->at, view->values[p]).text);
        table_column(table, header, false);
    }
    table_column(table, "Degrees of freedom", false);
    table_column(table, "Counted", true);
    const char *last = NULL;
    for (size_t i = 0; i < all->budget_count; i++) {
        const struct budget_line *line = &all->budget[i];
        size_t variant = view_variant_of(view, line->variant);
        bool is_new =
            line->at == view->at && view_is_shown(view, variant) && view_is_of_pairs(view, variant, line->microphone);
        for (size_t k = 0; k < i && is_new; k++)
            is_new =
                all->budget[k].at != line->at ||
                !view_is_of_pairs(view, view_variant_of(view, all->budget[k].variant), all->budget[k].microphone) ||
                strcmp(all->budget[k].variant, line->variant) != 0 ||
                strcmp(all->budget[k].component, line->component) != 0;
        if (!is_new)
            continue;
        add_budget_row(view, table, line, last && strcmp(last, line->variant) != 0);
        last = line->variant;
    }
    appendix_table(document, table, "results.json");
}

/* Without signs, as slopes are told. */
static struct shown interval_text(double low, double high)
{
    struct shown out = show(low, 1);
    if (isfinite(low) && isfinite(high))
        snprintf(out.text, sizeof out.text, "%.40s to %.40s", show(low, 1).text, show(high, 1).text);
    return out;
}

void slopes_add(const struct view *view, struct document *document)
{
    const struct comparisons *all = &view->results->comparisons;
    struct table *table = table_new("Slopes: how fast the level rises with the operating point");
    table_column(table, "Against", true);
    table_column(table, "Rotor", true);
    table_column(table, "dB per decade", false);
    table_column(table, "95 % interval", false);
    table_column(table, "Scatter about the fit, dB", false);
    table_column(table, "Runs", false);
    table_column(table, "Fit", true);
    for (size_t i = 0; i < all->curve_count; i++) {
        const struct curve *curve = &all->curves[i];
        if (strcmp(curve->quantity, "LAeq_db") != 0 || !is_given(curve->slope_db_per_decade) ||
            !view_is_shown(view, view_variant_of(view, curve->variant)) ||
            !view_is_of_runs(view, view_variant_of(view, curve->variant), curve->microphone))
            continue;
        table_row(table, i > 0 && all->curves[i - 1].at != curve->at);
        table_cell(table, "%s", operating_name(curve->at));
        table_cell(table, "%s", curve->variant);
        table_look(table, view_look(view, view_variant_of(view, curve->variant)));
        table_cell(table, "%s", show(curve->slope_db_per_decade, 1).text);
        table_cell(table, "%s", interval_text(curve->slope_ci95_low, curve->slope_ci95_high).text);
        table_cell(table, "%s", show(curve->residual_db, 2).text);
        table_cell(table, "%zu", curve->point_count);
        table_cell(table, "%s", curve->basis);
    }
    bool any = table && table->row_count > 0;
    document_table(document, table);
    if (any)
        document_add(
            document, BLOCK_QUIET,
            "Against speed or tip speed, 50 to 60 dB per decade is the common rule for the noise of a given rotor "
            "(common practice); a slope far from it says that something else was recorded too, or that the log "
            "is wrong. Thrust grows as speed squared, so against thrust about half of that is usual.");
}

void appendix_differences(const struct view *view, struct document *document)
{
    if (view->results->comparisons.count == 0)
        return;
    document_add(document, BLOCK_HEADING, "Differences and fits");
    difference_remarks_add(view, document, REMARKS_DETAIL);
    appendix_table(document, difference_rows(view, "Differences at the other points", DIFFERENCES_OTHER_POINTS),
                   "tables/comparisons.csv");
    appendix_table(
        document,
        difference_rows(view, "The same A-levels at other equal operating quantities", DIFFERENCES_OTHER_QUANTITIES),
        "tables/comparisons.csv");
    add_budget(view, document);
    slopes_add(view, document);
}
