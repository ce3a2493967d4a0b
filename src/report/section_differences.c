/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "compare/operating.h"
#include "report/difference_remarks.h"
#include "report/difference_rows.h"
#include "report/show.h"
#include "report/shown.h"
#include "report/why.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Refused for the same reason, but for the point and the quantity. */
static bool is_alike(const struct comparison *a, const struct comparison *b)
{
    return a->verdict == COMPARE_REFUSED && b->verdict == COMPARE_REFUSED && a->at == b->at &&
           strcmp(a->variant, b->variant) == 0 && strcmp(a->microphone, b->microphone) == 0 &&
           strcmp(a->reason, b->reason) == 0;
}

/* What is told of shown rotors: all but the third octaves on the main axis, A-levels on others. */
static bool is_told_refused(const struct view *view, const struct comparison *item)
{
    return item->verdict == COMPARE_REFUSED && view_is_shown(view, view_variant_of(view, item->variant)) &&
           strcmp(item->quantity, "third_octave_db") != 0 &&
           (item->at == view->at || strcmp(item->quantity, "LAeq_db") == 0);
}

/* "swept3, LAeq and 8 other quantities at 2 N, 3 N, microphone front: too near the background there". */
static void add_refused_item(const struct view *view, struct document *document, size_t first)
{
    const struct comparisons *all = &view->results->comparisons;
    const struct comparison *item = &all->items[first];
    struct text points = { 0 };
    size_t other_count = 0;
    for (size_t i = first; i < all->count; i++) {
        const struct comparison *other = &all->items[i];
        if (!is_told_refused(view, other) || !is_alike(other, item))
            continue;
        if (strcmp(other->quantity, item->quantity) != 0)
            other_count += other->value == item->value || !is_given(item->value);
        else if (is_given(other->value))
            text_addf(&points, "%s%s", points.length > 0 ? ", " : " at ", show_operating(item->at, other->value).text);
    }
    if (points.length == 0)
        text_addf(&points, " by %s", operating_name(item->at));
    if (view->has_many_microphones)
        text_addf(&points, ", microphone %s", item->microphone);
    struct shown others = { "" };
    if (other_count > 0)
        snprintf(others.text, sizeof others.text, " and %zu other quantit%s", other_count,
                 other_count == 1 ? "y" : "ies");
    document_add(document, BLOCK_ITEM, "Not compared: %s, %s%s%s: %s.", item->variant,
                 show_quantity(item->quantity).brief, others.text, points.data ? points.data : "", item->reason);
    document->failed = document->failed || points.failed;
    text_clear(&points);
}

static void add_refused(const struct view *view, struct document *document)
{
    const struct comparisons *all = &view->results->comparisons;
    for (size_t i = 0; i < all->count; i++) {
        bool is_first = is_told_refused(view, &all->items[i]);
        for (size_t k = 0; k < i && is_first; k++)
            is_first = !is_told_refused(view, &all->items[k]) || !is_alike(&all->items[k], &all->items[i]);
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
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        if (!view_comparison(view, at, "LAeq_db", ABSENT, v))
            continue;
        chart_series(chart, SERIES_BARS, view_look(view, v), show_variant(view_variant(view, v)).text);
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
    text_fit(
        caption, sizeof caption,
        "Which bands carry the difference of A-levels from %s at %s. Below zero: the band makes the rotor quieter. "
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
        for (size_t s = 0, row = 0; s < view->shown_count; s++) {
            size_t v = view->shown[s];
            const struct comparison *item = view_comparison(view, view->values[p], "LAeq_db", ABSENT, v);
            if (!item || !is_given(why_part(view, view->values[p], v, parts[0])))
                continue;
            table_row(table, row++ == 0);
            table_cell(table, "%s", show_operating(view->at, view->values[p]).text);
            table_cell(table, "%s", view_variant(view, v)->name);
            table_look(table, view_look(view, v));
            table_cell(table, "%s", show_signed(item->difference_db, 1).text);
            for (size_t k = 0; k < 3; k++)
                table_cell(table, "%s", show_signed(why_part(view, view->values[p], v, parts[k]), 1).text);
        }
    document_table(document, table);
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
        size_t variant = view_variant_of(view, item->variant);
        if (!view_is_shown(view, variant) || !view_is_of_runs(view, variant, item->microphone))
            continue;
        bool begins =
            last && (last->at != item->at || last->level_db < item->level_db || last->level_db > item->level_db);
        table_row(table, begins);
        table_cell(table, "%s", show(item->level_db, 1).text);
        table_cell(table, "%s", item->variant);
        table_look(table, view_look(view, variant));
        table_cell(table, "%s", is_given(item->value) ? show_operating(item->at, item->value).text : "\xe2\x80\x93");
        table_cell(table, "%s", show_operating_interval(item->at, item->ci95_low, item->ci95_high).text);
        table_cell(table, "%s", item->reason);
        last = item;
    }
    document_table(document, table);
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
    shown_refer(view, document, "tables/comparisons.csv");
    difference_remarks_add(view, document, REMARKS_MAIN);
    document_table(document, difference_rows(view, "Differences from the reference", DIFFERENCES_MIDDLE));
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
                "Figure of merit: the least power that momentum theory allows for the thrust through a disc of the "
                "rotor's diameter, over the logged power; it means nothing for a rotor whose axis lies across its "
                "stream. "
                "Where the power is electrical, the losses of motor and controller are in it.");
    if (all->count > 0)
        return;
    difference_remarks_add(view, document, REMARKS_DETAIL);
    slopes_add(view, document);
}
