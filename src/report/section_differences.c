/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "compare/operating.h"
#include "compare/words.h"
#include "report/appendix.h"
#include "report/show.h"
#include "report/why.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct table *difference_table(const struct view *view, const char *caption)
{
    struct table *table = table_new(caption);
    table_column(table, "At", false);
    table_column(table, "Rotor", true);
    table_column(table, "Quantity", true);
    if (view->has_many_microphones)
        table_column(table, "Microphone", true);
    table_column(table, "Rotor's value", false);
    table_column(table, "Reference's value", false);
    table_column(table, "Difference", false);
    table_column(table, "95 % interval", false);
    table_column(table, "Runs", false);
    table_column(table, "Basis", true);
    table_column(table, "Verdict", true);
    return table;
}

static void add_difference_row(const struct view *view, struct table *table, const struct comparison *item, bool begins)
{
    struct quantity_text text = show_quantity(item->quantity);
    table_row(table, begins);
    table_cell(table, "%s",
               is_given(item->value) ? show_operating(item->at, item->value).text : operating_name(item->at));
    table_cell(table, "%s", item->variant);
    table_look(table, view_variant_of(view, item->variant));
    table_cell(table, "%s", show_brief_header(item->quantity).text);
    if (view->has_many_microphones)
        table_cell(table, "%s", item->microphone);
    table_cell(table, "%s", show(item->variant_value, text.decimals).text);
    table_cell(table, "%s", show(item->reference_value, text.decimals).text);
    table_cell(table, "%s", show_signed(item->difference_db, text.decimals).text);
    table_cell(table, "%s", show_interval(item->ci95_low_db, item->ci95_high_db, text.decimals).text);
    table_cell(table, "%d + %d", item->variant_run_count, item->reference_run_count);
    table_cell(table, "%s", item->basis);
    char words[sizeof item->words];
    table_cell(table, "%s", words_of_verdict(item, words, sizeof words));
}

enum difference_set { DIFFERENCES_MIDDLE, DIFFERENCES_OTHER_POINTS, DIFFERENCES_OTHER_QUANTITIES };

static bool is_in_set(const struct view *view, const struct comparison *item, enum difference_set set)
{
    if (item->verdict == COMPARE_REFUSED)
        return false;
    if (item->at != view->at)
        return set == DIFFERENCES_OTHER_QUANTITIES && strcmp(item->quantity, "LAeq_db") == 0;
    bool is_middle = view->value_count > 0 && view_is_at(view, item->value, view_middle_point(view));
    return set == (is_middle ? DIFFERENCES_MIDDLE : DIFFERENCES_OTHER_POINTS);
}

/* All but the third octaves, which the bands' pictures and comparisons.csv hold. */
static struct table *differences(const struct view *view, const char *caption, enum difference_set set)
{
    const struct comparisons *all = &view->results->comparisons;
    struct table *table = difference_table(view, caption);
    const struct comparison *last = NULL;
    for (size_t i = 0; i < all->count; i++) {
        const struct comparison *item = &all->items[i];
        if (strcmp(item->quantity, "third_octave_db") == 0 || !is_in_set(view, item, set))
            continue;
        bool is_other_point = last && set == DIFFERENCES_OTHER_POINTS && fabs(last->value - item->value) > 1e-9;
        bool is_other = last && (strcmp(last->variant, item->variant) != 0 || last->at != item->at || is_other_point);
        add_difference_row(view, table, item, is_other);
        last = item;
    }
    return table;
}

/* Refused for the same reason, but for the point. */
static bool is_alike(const struct comparison *a, const struct comparison *b)
{
    return a->verdict == COMPARE_REFUSED && b->verdict == COMPARE_REFUSED && a->at == b->at &&
           strcmp(a->variant, b->variant) == 0 && strcmp(a->microphone, b->microphone) == 0 &&
           strcmp(a->quantity, b->quantity) == 0 && strcmp(a->reason, b->reason) == 0;
}

/* "swept3, LAeq at 2 N, 3 N, microphone front: too near the background there". */
static void add_refused_item(const struct view *view, struct document *document, size_t first)
{
    const struct comparisons *all = &view->results->comparisons;
    const struct comparison *item = &all->items[first];
    struct text points = { 0 };
    for (size_t i = first; i < all->count; i++)
        if (is_alike(&all->items[i], item) && is_given(all->items[i].value))
            text_addf(&points, "%s%s", points.length > 0 ? ", " : " at ",
                      show_operating(item->at, all->items[i].value).text);
    if (points.length == 0)
        text_addf(&points, " by %s", operating_name(item->at));
    if (view->has_many_microphones)
        text_addf(&points, ", microphone %s", item->microphone);
    document_add(document, BLOCK_ITEM, "Not compared: %s, %s%s: %s.", item->variant,
                 show_quantity(item->quantity).brief, points.data ? points.data : "", item->reason);
    document->failed = document->failed || points.failed;
    text_clear(&points);
}

static void add_refused(const struct view *view, struct document *document)
{
    const struct comparisons *all = &view->results->comparisons;
    for (size_t i = 0; i < all->count; i++) {
        const struct comparison *item = &all->items[i];
        bool is_first = item->verdict == COMPARE_REFUSED && strcmp(item->quantity, "third_octave_db") != 0 &&
                        (item->at == view->at || strcmp(item->quantity, "LAeq_db") == 0);
        for (size_t k = 0; k < i && is_first; k++)
            is_first = !is_alike(&all->items[k], item);
        if (is_first)
            add_refused_item(view, document, i);
    }
}

static bool is_counted(const struct view *view, const struct contribution *item, double at)
{
    return item->at == view->at && view_is_at(view, item->value, at) &&
           view_is_of_pairs(view, view_variant_of(view, item->variant), item->microphone);
}

static void add_contributions(const struct view *view, struct document *document, double at)
{
    const struct comparisons *all = &view->results->comparisons;
    struct chart *chart = chart_new();
    chart_axes(chart, SCALE_CATEGORY, "Third-octave band, nominal mid-frequency, Hz", "Part of the difference, dB");
    double hz[TICKS_MAX];
    size_t count = 0;
    for (size_t i = 0; i < all->contribution_count; i++) {
        const struct contribution *item = &all->contributions[i];
        bool is_new = is_given(item->band_hz) && is_counted(view, item, at) && count < TICKS_MAX;
        for (size_t k = 0; k < count && is_new; k++)
            is_new = fabs(hz[k] / item->band_hz - 1) > 0.01;
        if (!is_new)
            continue;
        char name[SCALE_NAME_MAX];
        scale_nominal_text(item->band_hz, name, sizeof name);
        chart_add_name(chart, name);
        hz[count++] = item->band_hz;
    }
    for (size_t v = 0; v < view_variant_count(view); v++) {
        if (!view_comparison(view, at, "LAeq_db", ABSENT, v))
            continue;
        chart_series(chart, SERIES_BARS, v, show_variant(view_variant(view, v)).text);
        for (size_t i = 0; i < all->contribution_count; i++) {
            const struct contribution *item = &all->contributions[i];
            if (!is_given(item->band_hz) || !is_counted(view, item, at) || view_variant_of(view, item->variant) != v)
                continue;
            size_t place = 0;
            while (place < count && fabs(hz[place] / item->band_hz - 1) > 0.01)
                place++;
            chart_add(chart, (struct datum){ (double)place + 0.5, item->share_db, ABSENT, ABSENT, false, false });
        }
    }
    if (chart)
        chart->bars_from_zero = true;
    chart_fit_y(chart, 0.5, true);
    char caption[800];
    snprintf(
        caption, sizeof caption,
        "Which bands carry the difference of A-levels from %.60s at %s. Below zero: the band makes the rotor quieter. "
        "The bars of a rotor add up to its difference.",
        view_variant(view, view->results->reference)->name, show_operating(view->at, at).text);
    document_chart(document, chart, 175, caption);
}

static void add_parts(const struct view *view, struct document *document)
{
    static const char *const parts[] = { "blade tones", "other tones", "broadband" };
    struct table *table = table_new("Tones against broadband noise: parts of the A-level difference");
    table_column(table, "At", false);
    table_column(table, "Rotor", true);
    table_column(table, "Difference, dB", false);
    table_column(table, "Blade tones carry, dB", false);
    table_column(table, "Other tones, dB", false);
    table_column(table, "Broadband noise, dB", false);
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t v = 0, row = 0; v < view_variant_count(view); v++) {
            const struct comparison *item = view_comparison(view, view->values[p], "LAeq_db", ABSENT, v);
            if (!item || !is_given(why_part(view, view->values[p], v, parts[0])))
                continue;
            table_row(table, row++ == 0);
            table_cell(table, "%s", show_operating(view->at, view->values[p]).text);
            table_cell(table, "%s", view_variant(view, v)->name);
            table_look(table, v);
            table_cell(table, "%s", show_signed(item->difference_db, 1).text);
            for (size_t k = 0; k < 3; k++)
                table_cell(table, "%s", show_signed(why_part(view, view->values[p], v, parts[k]), 1).text);
        }
    document_table(document, table);
}

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
    table_look(table, view_variant_of(view, line->variant));
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
        bool is_new =
            line->at == view->at && view_is_of_pairs(view, view_variant_of(view, line->variant), line->microphone);
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

static void add_equal_levels(const struct view *view, struct document *document)
{
    const struct comparisons *all = &view->results->comparisons;
    struct table *table = table_new("The other way round: the operating point at equal level");
    char level[SHOW_MAX];
    snprintf(level, sizeof level, "At LAeq, %s", show_level_unit(view->results));
    table_column(table, level, false);
    table_column(table, "Rotor", true);
    table_column(table, "Reaches", false);
    table_column(table, "95 % interval", false);
    table_column(table, "Remark", true);
    const struct equal_level *last = NULL;
    for (size_t i = 0; i < all->equal_level_count; i++) {
        const struct equal_level *item = &all->equal_levels[i];
        if (!view_is_of_runs(view, view_variant_of(view, item->variant), item->microphone))
            continue;
        bool begins =
            last && (last->at != item->at || last->level_db < item->level_db || last->level_db > item->level_db);
        table_row(table, begins);
        table_cell(table, "%s", show(item->level_db, 1).text);
        table_cell(table, "%s", item->variant);
        table_look(table, view_variant_of(view, item->variant));
        table_cell(table, "%s", is_given(item->value) ? show_operating(item->at, item->value).text : "\xe2\x80\x93");
        table_cell(table, "%s", show_operating_interval(item->at, item->ci95_low, item->ci95_high).text);
        table_cell(table, "%s", item->reason);
        last = item;
    }
    document_table(document, table);
}

/* Without signs, as slopes are told. */
static struct shown interval_text(double low, double high)
{
    struct shown out = show(low, 1);
    if (isfinite(low) && isfinite(high))
        snprintf(out.text, sizeof out.text, "%.40s to %.40s", show(low, 1).text, show(high, 1).text);
    return out;
}

static void add_slopes(const struct view *view, struct document *document)
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
            !view_is_of_runs(view, view_variant_of(view, curve->variant), curve->microphone))
            continue;
        table_row(table, i > 0 && all->curves[i - 1].at != curve->at);
        table_cell(table, "%s", operating_name(curve->at));
        table_cell(table, "%s", curve->variant);
        table_look(table, view_variant_of(view, curve->variant));
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

/* A picture of single points says no more than the run log. */
static void add_economy(const struct view *view, struct document *document, const char *quantity, double height_pt,
                        const char *caption)
{
    const struct comparisons *all = &view->results->comparisons;
    size_t fitted_count = 0;
    for (size_t i = 0; i < all->curve_count; i++)
        fitted_count += strcmp(all->curves[i].quantity, quantity) == 0 && all->curves[i].fit_count > 0;
    if (fitted_count > 0)
        document_chart(document, curve_chart(view, quantity), height_pt, caption);
}

void section_differences(const struct view *view, struct document *document)
{
    const struct comparisons *all = &view->results->comparisons;
    if (all->count == 0 && all->curve_count == 0 && all->remark_count == 0)
        return;
    document_section(document, "differences",
                     all->count > 0 ? "Differences and how sure they are" : "Slopes and power");
    for (size_t i = 0; i < all->remark_count; i++)
        document_add(document, BLOCK_ITEM, "%s", all->remarks[i]);
    document_table(document, differences(view, "Differences from the reference", DIFFERENCES_MIDDLE));
    document_table(document, differences(view, "The same A-levels at other equal operating quantities",
                                         DIFFERENCES_OTHER_QUANTITIES));
    add_refused(view, document);
    if (view->is_compared)
        document_add(
            document, BLOCK_QUIET,
            "Difference: rotor minus reference, in the quantity's own unit. The 95 %% interval holds the scatter "
            "of the runs about their fits and what does not cancel between the two (below). A difference is real "
            "where it leaves 0 out. Words by steps of common practice: below 1 dB hardly noticeable, from 1 dB "
            "just noticeable, from 3 dB clearly audible, from 6 dB a large step, from 10 dB about half or twice as "
            "loud.");
    if (all->contribution_count > 0 && view->is_compared) {
        document_add(document, BLOCK_HEADING, "Where the difference comes from");
        add_contributions(view, document, view_middle_point(view));
        add_parts(view, document);
    }
    add_equal_levels(view, document);
    add_economy(view, document, "power_loading_n_w", 165,
                "Power loading: thrust for each watt, against thrust. Markers are runs, lines fits with their 95 % "
                "intervals.");
    add_economy(view, document, "figure_of_merit", 150,
                "Figure of merit: the least power that momentum theory allows for the thrust, over the logged power. "
                "Where the power is electrical, the losses of motor and controller are in it.");
    if (all->count == 0)
        add_slopes(view, document);
}

void appendix_differences(const struct view *view, struct document *document)
{
    if (view->results->comparisons.count == 0)
        return;
    document_add(document, BLOCK_HEADING, "Differences and fits");
    appendix_table(document, differences(view, "Differences at the other points", DIFFERENCES_OTHER_POINTS),
                   "tables/comparisons.csv");
    add_budget(view, document);
    add_slopes(view, document);
}
