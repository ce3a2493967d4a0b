/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "report/appendix.h"
#include "report/show.h"
#include "report/shown.h"
#include "report/sound_words.h"

#include <math.h>
#include <stdio.h>

static const char *const columns[] = { "loudness_n5_sone", "loudness_stationary_sone", "sharpness_acum",
                                       "roughness_asper",  "fluctuation_vacil",        "audibility_db",
                                       "annoyance",        "annoyance_tonal" };
#define FIRST_TONAL 5 /* from here on: tonality and annoyance */
#define COLUMN_COUNT (sizeof columns / sizeof *columns)

static double figure_of(const struct run_result *run, size_t column)
{
    const struct hearing_figures *hearing = &run->figures.hearing;
    const double figures[COLUMN_COUNT] = {
        hearing->loudness_n5_sone, hearing->loudness_stationary_sone, hearing->sharpness_acum,
        hearing->roughness_asper,  hearing->fluctuation_vacil,        run->tonality.audibility_db,
        hearing->annoyance,        hearing->annoyance_tonal,
    };
    return figures[column];
}

static bool is_column_used(const struct view *view, size_t column)
{
    for (size_t i = 0; i < view->results->run_count; i++)
        if (isfinite(figure_of(&view->results->runs[i], column)))
            return true;
    return false;
}

static bool has_loudness(const struct view *view)
{
    for (size_t i = 0; i < view->results->run_count; i++)
        if (isfinite(view->results->runs[i].figures.hearing.loudness_n5_sone) ||
            isfinite(view->results->runs[i].figures.hearing.loudness_stationary_sone))
            return true;
    return false;
}

/* Whether the comparison fitted this figure, so that it is known at the compared points with an interval. */
static bool is_fitted(const struct view *view, size_t column)
{
    struct view_value value;
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t s = 0; s < view->shown_count; s++)
            if (view_value(view, view->values[p], columns[column], ABSENT, view->shown[s], &value))
                return true;
    return false;
}

static void add_fitted_figure(const struct view *view, struct table *table, size_t column, double at, size_t variant)
{
    struct quantity_text text = show_quantity(columns[column]);
    struct view_value value = { ABSENT, ABSENT, ABSENT };
    bool is_there = view_value(view, at, columns[column], ABSENT, variant, &value);
    if (is_there && isfinite(value.low) && isfinite(value.high))
        table_cell(table, "%s (%s to %s)", show(value.value, text.decimals).text, show(value.low, text.decimals).text,
                   show(value.high, text.decimals).text);
    else
        table_cell(table, "%s", show(value.value, text.decimals).text);
}

/* By the fits through the runs, at the points compared; columns `first` to `end`. */
static void add_fitted(const struct view *view, struct document *document, const char *caption, size_t first,
                       size_t end)
{
    size_t fitted_count = 0;
    for (size_t c = first; c < end; c++)
        fitted_count += is_fitted(view, c);
    if (fitted_count == 0)
        return;
    struct table *table = table_new(caption);
    table_column(table, "At", false);
    table_column(table, "Rotor", true);
    for (size_t c = first; c < end; c++)
        if (is_fitted(view, c))
            table_column(table, show_quantity_header(view->results, columns[c]).text, false);
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t s = 0, row = 0; s < view->shown_count; s++) {
            size_t v = view->shown[s];
            if (!view_has_variant_runs(view, v))
                continue;
            table_row(table, row++ == 0);
            table_cell(table, "%s", show_operating(view->at, view->values[p]).text);
            table_cell(table, "%s", view_variant(view, v)->name);
            table_look(table, view_look(view, v));
            for (size_t c = first; c < end; c++)
                if (is_fitted(view, c))
                    add_fitted_figure(view, table, c, view->values[p], v);
        }
    document_table(document, table);
}

static void add_measured_figure(const struct view *view, struct table *table, size_t column, double at, size_t variant)
{
    double sum = 0, low = HUGE_VAL, high = -HUGE_VAL;
    int decimals = show_quantity(columns[column]).decimals;
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        double figure = figure_of(run, column);
        if (!view_is_repeat(view, variant, at, run) || !isfinite(figure))
            continue;
        sum += figure;
        low = fmin(low, figure);
        high = fmax(high, figure);
        count++;
    }
    if (count > 1)
        table_cell(table, "%s (%s to %s)", show(sum / (double)count, decimals).text, show(low, decimals).text,
                   show(high, decimals).text);
    else
        table_cell(table, "%s", show(count > 0 ? sum : ABSENT, decimals).text);
}

/* The tone of the first of the repeats that has a prominent one, and how many of them have. */
static void add_prominent_cell(const struct view *view, struct table *table, double at, size_t variant)
{
    struct text out = { 0 };
    size_t repeat_count = 0, prominent_count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        if (!view_is_repeat(view, variant, at, run))
            continue;
        repeat_count++;
        if (run->tonality.is_prominent && prominent_count++ == 0)
            sound_words_tone(run, &out);
    }
    if (prominent_count > 0 && prominent_count < repeat_count)
        text_addf(&out, " (%zu of %zu runs)", prominent_count, repeat_count);
    table_cell(table, "%s", prominent_count > 0 && out.data ? out.data : "none");
    table_fail(table, out.failed);
    text_clear(&out);
}

/* Columns `first` to `end` of the figures as measured; the last table also names the tone that is prominent. */
static void add_measured(const struct view *view, struct document *document, const char *caption, size_t first,
                         size_t end)
{
    struct table *table = table_new(caption);
    bool is_last = end == COLUMN_COUNT;
    table_column(table, "Rotor", true);
    table_column(table, "At", false);
    for (size_t c = first; c < end; c++)
        if (is_column_used(view, c))
            table_column(table, show_quantity_header(view->results, columns[c]).text, false);
    if (is_last)
        table_column(table, "Prominent tone", true);
    for (size_t s = 0; s < view->shown_count; s++)
        for (size_t i = 0, row = 0; i < view->results->run_count; i++) {
            size_t v = view->shown[s];
            double at = view_operating(view, &view->results->runs[i]);
            if (!view_begins_point(view, v, i))
                continue;
            table_row(table, row++ == 0);
            table_cell(table, "%s", view_variant(view, v)->name);
            table_look(table, view_look(view, v));
            table_cell(table, "%s", show_operating(view->at, at).text);
            for (size_t c = first; c < end; c++)
                if (is_column_used(view, c))
                    add_measured_figure(view, table, c, at, v);
            if (is_last)
                add_prominent_cell(view, table, at, v);
        }
    appendix_table(document, table, "tables/levels.csv");
}

/* Each rotor against the reference at a point; where there is nothing to compare with, which tone is prominent. */
static void add_words(const struct view *view, struct document *document, double at)
{
    size_t reference = view->results->reference, told_count = 0;
    const struct run_result *run = view_run(view, reference, at);
    struct text out = { 0 };
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        size_t before = out.length;
        sound_words_compare(view, at, v, &out);
        if (out.length == before)
            continue;
        if (told_count++ == 0)
            document_add(
                document, BLOCK_TEXT,
                "At %s, against %s (figures by the fits where there are any, tones of the runs nearest to it):",
                show_operating(view->at, at).text, view_variant(view, reference)->name);
        document_add(document, BLOCK_ITEM, "%s", out.data + before);
    }
    if (told_count == 0 && run && run->tonality.is_prominent) {
        text_addf(&out, "At %s the ", show_operating(view->at, at).text);
        sound_words_tone(run, &out);
        document_add(document, BLOCK_TEXT, "%s in the recording of %s is prominent.", out.data ? out.data : "",
                     run->variant);
    }
    document->failed = document->failed || out.failed;
    text_clear(&out);
}

static void add_specific_loudness(const struct view *view, struct document *document, double at)
{
    struct chart *chart = chart_new();
    chart_axes(chart, SCALE_LINEAR, "Critical-band rate, bark", "Specific loudness, sone/bark");
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        const struct run_result *run = view_run(view, v, at);
        if (!run || !is_given(run->figures.hearing.specific_sone_bark[0]))
            continue;
        chart_series(chart, SERIES_LINE, view_look(view, v), show_variant(view_variant(view, v)).text);
        for (int i = 0; i < SPECIFIC_LOUDNESS_COUNT; i++)
            chart_add(chart, (struct datum){ 0.1 * (i + 1), run->figures.hearing.specific_sone_bark[i], ABSENT, ABSENT,
                                             false, false });
    }
    chart_fit_y(chart, 0.1, true);
    if (chart)
        chart->x.high = 24;
    char caption[800];
    snprintf(
        caption, sizeof caption,
        "Specific loudness of the runs nearest to %s: how loud each part of the hearing range is; the area under a "
        "line is the loudness in sone.",
        show_operating(view->at, at).text);
    document_chart(document, chart, 165, caption);
}

static void add_loudness_time(const struct view *view, struct document *document, double at)
{
    struct chart *chart = chart_new();
    chart_axes(chart, SCALE_LINEAR, "Time in the used part, s", "Loudness, sone");
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        const struct run_result *run = view_run(view, v, at);
        if (!run || run->figures.hearing.loudness_count == 0)
            continue;
        chart_series(chart, SERIES_LINE, view_look(view, v), show_variant(view_variant(view, v)).text);
        for (size_t i = 0; i < run->figures.hearing.loudness_count; i++)
            chart_add(chart, (struct datum){ (double)i * run->figures.hearing.loudness_step_s,
                                             run->figures.hearing.loudness_sone[i], ABSENT, ABSENT, false, false });
    }
    chart_fit_x(chart, 0);
    chart_fit_y(chart, 0.5, true);
    char caption[800];
    snprintf(caption, sizeof caption, "Loudness against time of the runs nearest to %s.",
             show_operating(view->at, at).text);
    document_chart(document, chart, 125, caption);
}

void section_hearing(const struct view *view, struct document *document)
{
    if (view->value_count == 0)
        return;
    document_section(document, "hearing", "How it sounds");
    shown_refer(view, document, "tables/comparisons.csv");
    if (!has_loudness(view))
        document_add(
            document, BLOCK_TEXT,
            view->results->is_absolute
                ? "Loudness, sharpness, roughness and annoyance are absent: these recordings gave none; the "
                  "findings say why."
                : "Loudness, sharpness, roughness and annoyance are absent: they need absolute levels, and these "
                  "recordings have no calibration. Tonality does not, and is given.");
    double at = view_middle_point(view);
    add_words(view, document, at);
    add_fitted(view, document, "At equal operating points, by fits through the runs (95 % interval)", 0, FIRST_TONAL);
    add_fitted(view, document, "Tones and annoyance at equal operating points, by fits (95 % interval)", FIRST_TONAL,
               COLUMN_COUNT);
    if (has_loudness(view)) {
        document_add(
            document, BLOCK_QUIET,
            "Loudness after ISO 532-1:2017, sharpness after DIN 45692:2009, tonal audibility after ISO/PAS "
            "20065:2016. Roughness, fluctuation strength and annoyance are published models from listening tests "
            "on other sounds than rotors: read them as hints, not as a rating. All are of the sound at the microphone, "
            "its background included.");
        add_specific_loudness(view, document, at);
        add_loudness_time(view, document, at);
    }
}

void appendix_hearing(const struct view *view, struct document *document)
{
    bool any = false;
    for (size_t c = 0; c < COLUMN_COUNT; c++)
        any = any || is_column_used(view, c);
    if (view->value_count == 0 || !any)
        return;
    document_add(document, BLOCK_HEADING, "How it sounds, as measured");
    document_add(document, BLOCK_QUIET, "Means over the repeats of each operating point, and in brackets their range.");
    if (has_loudness(view))
        add_measured(view, document, "Loudness, sharpness, roughness, fluctuation, as measured", 0, FIRST_TONAL);
    add_measured(view, document, "Tones and annoyance, as measured", FIRST_TONAL, COLUMN_COUNT);
}
