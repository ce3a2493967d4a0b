/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "base/units.h"
#include "report/ground_marks.h"
#include "report/show.h"

#include <math.h>
#include <stdio.h>

/* The trace of one run. Steps that hold no line are left out, so that the line runs on to the next that does. */
static void add_trace(struct chart *chart, const struct run_result *run, size_t look, const char *name)
{
    chart_series(chart, SERIES_LINE, look, name);
    if (chart && chart->series_count > 0)
        chart->series[chart->series_count - 1].is_thin = chart->series[chart->series_count - 1].is_marked = true;
    for (size_t i = 0; i < run->trace.count; i++)
        if (isfinite(run->trace.level_db[i]))
            chart_add(chart,
                      (struct datum){ trace_hz(&run->trace, i), run->trace.level_db[i], ABSENT, ABSENT, false, false });
}

static void add_comb(struct chart *chart, const struct view *view, const struct run_result *run, size_t variant)
{
    struct comb *comb = chart_comb(chart, variant, view_variant(view, variant)->name);
    for (size_t i = 0; comb && i < run->rotor.blade_passage_count && comb->count < COMB_MAX; i++) {
        const struct blade_passage *line = &run->rotor.blade_passages[i];
        bool is_found = line->verdict != BLADE_ABSENT && is_given(line->measured_hz);
        double hz = is_found ? line->measured_hz : line->expected_hz;
        if (!is_given(hz))
            continue;
        comb->teeth[comb->count].hz = hz;
        comb->teeth[comb->count].number = line->harmonic;
        comb->teeth[comb->count++].is_found = is_found;
    }
}

/* Down to where half of the lines of the quietest trace lie, so that deep notches do not flatten the picture. */
static void fit_range(struct chart *chart)
{
    double low = INFINITY, high = -INFINITY, last_hz = 20;
    for (size_t s = 0; chart && s < chart->series_count; s++)
        for (size_t i = 0; i < chart->series[s].count; i++) {
            low = fmin(low, chart->series[s].items[i].y);
            high = fmax(high, chart->series[s].items[i].y);
            last_hz = fmax(last_hz, chart->series[s].items[i].x);
        }
    if (!chart || !(high >= low))
        return;
    scale_fit(&chart->y, fmax(low, high - 80), high + 2, 30);
    chart->x.low = 20;
    chart->x.high = fmin(fmax(last_hz, 200), 20000);
}

static void add_overlay(const struct view *view, struct document *document, double at)
{
    struct chart *chart = chart_new();
    char label[SHOW_MAX], caption[800];
    struct text runs = { 0 };
    double line_hz = ABSENT;
    const struct run_result *first = NULL;
    bool is_one_place = true; /* the ground weakens all alike */
    snprintf(label, sizeof label, "Level of a line, %s", show_level_unit(view->results));
    chart_axes(chart, SCALE_FREQUENCY, "Frequency, Hz", label);
    for (size_t v = 0; v < view_variant_count(view); v++) {
        const struct run_result *run = view_run(view, v, at);
        if (!run || run->trace.count == 0)
            continue;
        add_trace(chart, run, v, show_variant(view_variant(view, v)).text);
        add_comb(chart, view, run, v);
        is_one_place = is_one_place && (!first || view_is_of_runs(view, v, first->microphone));
        first = first ? first : run;
        line_hz = run->trace.line_hz;
        text_addf(&runs, "%s%.60s at %s", runs.length > 0 ? ", " : "", run->file,
                  show_operating(view->at, view_operating(view, run)).text);
    }
    if (first && is_one_place)
        ground_marks_add(view, first, chart);
    fit_range(chart);
    snprintf(
        caption, sizeof caption,
        "Narrow-band spectra of the runs nearest to %s (%s); lines %s Hz wide, the highest in each 1/96 octave. Rows "
        "above: blade-passage frequency and its multiples, numbered; in brackets: expected, but nothing stands out. "
        "Markers only tell the lines apart.",
        show_operating(view->at, at).text, runs.data ? runs.data : "", show(line_hz, 2).text);
    /* Legend and rows of many rotors take room; two pictures still go on a page. */
    document_chart(document, chart, view_variant_count(view) > 5 ? 210 : 250, caption);
    document->failed = document->failed || runs.failed;
    text_clear(&runs);
}

static void add_run_cell(const struct view *view, struct table *table, const struct run_result *run, bool is_named)
{
    size_t variant = view_variant_of(view, run->variant);
    table_cell(table, "%s", is_named ? run->file : "");
    if (is_named && variant < view_variant_count(view))
        table_look(table, variant);
}

static void add_line_cells(struct table *table, const struct blade_passage *line)
{
    double off_pct = (line->measured_hz / line->expected_hz - 1) * 100;
    table_cell(table, "%s", show_hz(line->expected_hz).text);
    table_cell(table, "%s", show_hz(line->tolerance_hz).text);
    table_cell(table, "%s", show_hz(line->measured_hz).text);
    table_cell(table, "%s", show_signed(off_pct, 2).text);
    table_cell(table, "%s", show(line->level_db, 1).text);
    table_cell(table, "%s", show(line->above_noise_db, 1).text);
    table_cell(table, "%s", blade_verdict_key(line->verdict));
}

static void add_line_columns(const struct view *view, struct table *table)
{
    char level[SHOW_MAX];
    snprintf(level, sizeof level, "Level, %s", show_level_unit(view->results));
    table_column(table, "Expected, Hz", false);
    table_column(table, "Tolerance \xc2\xb1, Hz", false);
    table_column(table, "Measured, Hz", false);
    table_column(table, "Off, %", false);
    table_column(table, level, false);
    table_column(table, "Above noise, dB", false);
    table_column(table, "Verdict", true);
}

/* Harmonics of one verdict, neighbours joined: "2-5, 12". Returns how many. */
static size_t add_harmonics(struct text *out, const struct rotor_figures *rotor, enum blade_verdict verdict)
{
    size_t told = 0;
    for (size_t i = 1; i < rotor->blade_passage_count; i++) {
        if (rotor->blade_passages[i].verdict != verdict)
            continue;
        size_t last = i;
        while (last + 1 < rotor->blade_passage_count && rotor->blade_passages[last + 1].verdict == verdict)
            last++;
        text_addf(out, "%s%d", told > 0 ? ", " : out->length > 0 ? "; " : "", rotor->blade_passages[i].harmonic);
        if (last > i)
            text_addf(out, "%s%d", last > i + 1 ? "\xe2\x80\x93" : ", ", rotor->blade_passages[last].harmonic);
        told += last - i + 1;
        i = last;
    }
    return told;
}

/* "2-5 agree; 6 absent": the multiples of the blade-passage frequency in short. */
static void add_multiples_cell(struct table *table, const struct rotor_figures *rotor)
{
    static const enum blade_verdict verdicts[] = { BLADE_AGREES, BLADE_SHIFTED, BLADE_ABSENT };
    static const char *const words[] = { "agree", "shifted", "absent" };
    struct text out = { 0 };
    for (size_t k = 0; k < 3; k++)
        if (add_harmonics(&out, rotor, verdicts[k]) > 0)
            text_addf(&out, " %s", words[k]);
    table_cell(table, "%s", out.data ? out.data : "\xe2\x80\x93");
    table_fail(table, out.failed);
    text_clear(&out);
}

static void add_first_lines(const struct view *view, struct document *document)
{
    struct table *table = table_new("Blade-passage frequency of every run, expected and measured");
    table_column(table, "Run", true);
    add_line_columns(view, table);
    table_column(table, "Multiples", true);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        if (run->rotor.blade_passage_count == 0)
            continue;
        table_row(table, i > 0 && view_variant_of(view, view->results->runs[i - 1].variant) !=
                                      view_variant_of(view, run->variant));
        add_run_cell(view, table, run, true);
        add_line_cells(table, &run->rotor.blade_passages[0]);
        add_multiples_cell(table, &run->rotor);
    }
    bool is_empty = !table || table->row_count == 0;
    document_table(document, table);
    if (is_empty)
        document_add(document, BLOCK_TEXT, "No blade lines: neither the log nor the sound gives a rotor speed.");
}

/* Every multiple, of the runs in the pictures. */
static void add_all_lines(const struct view *view, struct document *document)
{
    struct table *table =
        table_new("All blade lines of the runs in the pictures; tables/blade-passage.csv has those of "
                  "every run");
    table_column(table, "Run", true);
    table_column(table, "Multiple", false);
    add_line_columns(view, table);
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t v = 0; v < view_variant_count(view); v++) {
            const struct run_result *run = view_run(view, v, view->values[p]);
            if (!run || (p > 0 && view_run(view, v, view->values[p - 1]) == run))
                continue;
            for (size_t i = 0; i < run->rotor.blade_passage_count; i++) {
                table_row(table, i == 0);
                add_run_cell(view, table, run, i == 0);
                table_cell(table, "%d", run->rotor.blade_passages[i].harmonic);
                add_line_cells(table, &run->rotor.blade_passages[i]);
            }
        }
    document_table(document, table);
}

void section_spectra(const struct view *view, struct document *document)
{
    bool any_trace = false;
    for (size_t i = 0; i < view->results->run_count; i++)
        any_trace = any_trace || view->results->runs[i].trace.count > 0;
    if (!any_trace)
        return;
    document_section(document, "spectra", "Spectra and blade lines");
    for (size_t p = 0; p < view->value_count; p++)
        add_overlay(view, document, view->values[p]);
    document_add(document, BLOCK_HEADING, "Blade lines, run by run");
    document_add(
        document, BLOCK_QUIET,
        "Expected: blades times the logged speed, with the log's tolerance. Agrees: found inside the tolerance. "
        "Shifted: found outside it, so the log's speed is doubtful. Absent: nothing stands out of the noise "
        "there.");
    add_first_lines(view, document);
    add_all_lines(view, document);
}
