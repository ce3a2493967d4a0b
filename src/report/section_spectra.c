/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "base/units.h"
#include "report/appendix.h"
#include "report/ground_marks.h"
#include "report/show.h"
#include "report/shown.h"

#include <math.h>
#include <stdio.h>

#define RUNS_NAMED_MAX 5

void spectrum_add(struct chart *chart, const struct run_result *run, size_t look, const char *name)
{
    chart_series(chart, SERIES_LINE, look, name);
    if (chart && chart->series_count > 0) {
        chart->series[chart->series_count - 1].is_thin = true;
        chart->series[chart->series_count - 1].is_marked = name[0] != '\0';
    }
    for (size_t i = 0; i < run->trace.count; i++)
        if (isfinite(run->trace.level_db[i]))
            chart_add(chart,
                      (struct datum){ trace_hz(&run->trace, i), run->trace.level_db[i], ABSENT, ABSENT, false, false });
}

static void add_comb(struct chart *chart, const struct view *view, const struct run_result *run, size_t variant)
{
    struct comb *comb = chart_comb(chart, view_look(view, variant), view_variant(view, variant)->name);
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
    double low = HUGE_VAL, high = -HUGE_VAL, last_hz = 20;
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
    char label[SHOW_MAX];
    struct text runs = { 0 }, caption = { 0 };
    double line_hz = ABSENT;
    const struct run_result *first = NULL;
    bool is_one_place = true; /* the ground weakens all alike */
    snprintf(label, sizeof label, "Level of a line, %s", show_level_unit(view->results));
    chart_axes(chart, SCALE_FREQUENCY, "Frequency, Hz", label);
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        const struct run_result *run = view_run(view, v, at);
        if (!run || run->trace.count == 0)
            continue;
        spectrum_add(chart, run, view_look(view, v), show_variant(view_variant(view, v)).text);
        add_comb(chart, view, run, v);
        is_one_place = is_one_place && (!first || view_is_of_runs(view, v, first->microphone));
        first = first ? first : run;
        line_hz = run->trace.line_hz;
        text_addf(&runs, "%s%s at %s", runs.length > 0 ? ", " : "", text_short(run->file).text,
                  show_operating(view->at, view_operating(view, run)).text);
    }
    if (first && is_one_place)
        ground_marks_add(view, first, chart);
    fit_range(chart);
    text_addf(
        &caption,
        "Narrow-band spectra of the runs nearest to %s (%s); lines %s Hz wide, the highest in each 1/96 octave. Rows "
        "above: blade-passage frequency and its multiples, numbered; in brackets: expected, but nothing stands out. "
        "Markers only tell the lines apart.",
        show_operating(view->at, at).text, runs.data ? runs.data : "", show(line_hz, 2).text);
    document_chart(document, chart, view->shown_count > 5 ? 210 : 250, caption.data); /* two pictures go on a page */
    document->failed = document->failed || runs.failed || caption.failed;
    text_clear(&runs);
    text_clear(&caption);
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
        table_cell(table, "%s", run->file);
        table_look(table, view_look(view, view_variant_of(view, run->variant)));
        add_line_cells(table, &run->rotor.blade_passages[0]);
        add_multiples_cell(table, &run->rotor);
    }
    appendix_table(document, table, "tables/blade-passage.csv");
}

/* "shifted in a.wav, b.wav and 3 more: the log's speed is doubtful". Returns how many. */
static size_t add_runs_with(const struct view *view, enum blade_verdict verdict, const char *words, const char *meaning,
                            struct text *out)
{
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        if (run->rotor.blade_passage_count == 0 || run->rotor.blade_passages[0].verdict != verdict)
            continue;
        if (count++ < RUNS_NAMED_MAX)
            text_addf(out, "%s%s", count == 1 ? words : ", ", run->file);
    }
    if (count > RUNS_NAMED_MAX)
        text_addf(out, " and %zu more", count - RUNS_NAMED_MAX);
    text_add(out, count > 0 ? meaning : "");
    return count;
}

/* Whether the blade-passage frequency is where the log says, of all runs in one sentence. */
static void tell_lines(const struct view *view, struct document *document)
{
    struct text doubts = { 0 };
    size_t agree_count = 0, line_count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct rotor_figures *rotor = &view->results->runs[i].rotor;
        line_count += rotor->blade_passage_count > 0;
        agree_count += rotor->blade_passage_count > 0 && rotor->blade_passages[0].verdict == BLADE_AGREES;
    }
    if (line_count == 0) {
        document_add(document, BLOCK_TEXT, "No blade lines: neither the log nor the sound gives a rotor speed.");
        return;
    }
    add_runs_with(view, BLADE_SHIFTED, " It is shifted in ",
                  ": found outside the log's tolerance, so the log's speed is doubtful.", &doubts);
    add_runs_with(view, BLADE_ABSENT, " It is absent in ", ": nothing stands out of the noise there.", &doubts);
    document_add(
        document, BLOCK_TEXT,
        "The blade-passage frequency, blades times speed, agrees with the log or the sound's own speed in %zu of "
        "%zu runs.%s The appendix has it run by run.",
        agree_count, line_count, doubts.data ? doubts.data : "");
    document->failed = document->failed || doubts.failed;
    text_clear(&doubts);
}

static bool has_trace(const struct view *view)
{
    for (size_t i = 0; i < view->results->run_count; i++)
        if (view->results->runs[i].trace.count > 0)
            return true;
    return false;
}

void section_spectra(const struct view *view, struct document *document)
{
    if (!has_trace(view))
        return;
    document_section(document, "spectra", "Spectra and blade lines");
    shown_refer(view, document, "results.json");
    if (view->value_count > 0)
        add_overlay(view, document, view_middle_point(view));
    tell_lines(view, document);
}

void appendix_spectra(const struct view *view, struct document *document)
{
    if (!has_trace(view))
        return;
    document_add(document, BLOCK_HEADING, "Spectra and blade lines");
    for (size_t p = 0; p < view->value_count; p++)
        if (!view_is_middle(view, p))
            add_overlay(view, document, view->values[p]);
    document_add(
        document, BLOCK_QUIET,
        "Expected: blades times the logged speed, with the log's tolerance. Agrees: found inside the tolerance. "
        "Shifted: found outside it, so the log's speed is doubtful. Absent: nothing stands out of the noise "
        "there. tables/blade-passage.csv has every multiple by itself.");
    add_first_lines(view, document);
}
