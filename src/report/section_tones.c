/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "report/appendix.h"
#include "report/ground_marks.h"
#include "report/machine_remarks.h"
#include "report/show.h"
#include "report/shown.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define TONES_SHOWN_MAX 12 /* of a run, the highest; tones.csv has all */

/* The spectrum of one run with the source of each tone written at it. */
static void add_named_spectrum(const struct view *view, struct document *document, const struct run_result *run,
                               size_t variant)
{
    struct chart *chart = chart_new();
    char label[SHOW_MAX], caption[800];
    double high = -HUGE_VAL, low = HUGE_VAL;
    snprintf(label, sizeof label, "Level, %s", show_run_unit(run));
    chart_axes(chart, SCALE_FREQUENCY, "Frequency, Hz", label);
    spectrum_add(chart, run, view_look(view, variant), "");
    ground_marks_add(view, run, chart);
    for (size_t i = 0; i < run->trace.count; i++) {
        high = isfinite(run->trace.level_db[i]) ? fmax(high, run->trace.level_db[i]) : high;
        low = isfinite(run->trace.level_db[i]) ? fmin(low, run->trace.level_db[i]) : low;
    }
    chart_series(chart, SERIES_POINTS, view_look(view, variant), "");
    if (chart && chart->series_count > 0)
        chart->series[chart->series_count - 1].is_thin = true;
    for (size_t i = 0; i < run->rotor.tone_count; i++) {
        const struct tone *tone = &run->rotor.tones[i];
        chart_add(chart, (struct datum){ tone->hz, tone->level_db, ABSENT, ABSENT,
                                         strcmp(tone->source, "unexplained") == 0, false });
        chart_remark(chart, tone->hz, tone->level_db, tone->source);
        high = isfinite(tone->level_db) ? fmax(high, tone->level_db) : high;
    }
    if (chart && high >= low) {
        scale_fit(&chart->y, fmax(low, high - 75), high + 12, 30);
        chart->x.high = fmin(fmax(run->figures.highest_hz, 2000), 20000);
    }
    text_fit(caption, sizeof caption,
             "%s at %s (%s): markers are tones at their whole power, named by what makes them (open: unexplained). "
             "A name that finds no room is in the table.",
             view_variant(view, variant)->name, show_operating(view->at, view_operating(view, run)).text,
             text_short(run->file).text);
    document_chart(document, chart, 178, caption);
}

/* Means over the repeats of an operating point; shares of each run add up to 100, so their means do. */
static bool mean_shares(const struct view *view, size_t variant, double at, double *parts_pct)
{
    double sums[4] = { 0 };
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        const struct shares *shares = &run->rotor.shares;
        if (!view_is_repeat(view, variant, at, run) || !is_given(shares->blade_pct))
            continue;
        sums[0] += shares->blade_pct;
        sums[1] += shares->named_pct;
        sums[2] += shares->unexplained_pct;
        sums[3] += shares->broadband_pct;
        count++;
    }
    for (size_t i = 0; count > 0 && i < 4; i++)
        parts_pct[i] = sums[i] / (double)count;
    return count > 0;
}

#define SHARE_ROWS_MAX 16 /* beyond that only the operating point of each rotor nearest to the middle one */

static size_t operating_point_count(const struct view *view)
{
    size_t count = 0;
    for (size_t s = 0; s < view->shown_count; s++)
        for (size_t i = 0; i < view->results->run_count; i++)
            count += view_begins_point(view, view->shown[s], i);
    return count;
}

/* The operating value of the first run at the point nearest to the middle one; ABSENT when there is none. */
static double nearest_point(const struct view *view, size_t variant)
{
    double middle = view_middle_point(view), nearest = ABSENT;
    for (size_t i = 0; i < view->results->run_count; i++) {
        double at = view_operating(view, &view->results->runs[i]);
        if (view_begins_point(view, variant, i) && !(fabs(log(at / middle)) >= fabs(log(nearest / middle))))
            nearest = at;
    }
    return nearest;
}

static void add_share_row(const struct view *view, struct stack *stack, size_t variant, double at)
{
    double parts_pct[4];
    char name[300];
    if (!is_given(at) || !mean_shares(view, variant, at, parts_pct))
        return;
    text_fit(name, sizeof name, "%s, %s", view_variant(view, variant)->name, show_operating(view->at, at).text);
    stack_add_row(stack, name, parts_pct);
}

static void add_shares(const struct view *view, struct document *document)
{
    bool has_all = operating_point_count(view) <= SHARE_ROWS_MAX;
    struct stack *stack = stack_new("Share of the A-weighted energy, %");
    stack_add_part(stack, "blade tones");
    stack_add_part(stack, "other named tones");
    stack_add_part(stack, "unexplained tones");
    stack_add_part(stack, "broadband noise");
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        if (!has_all)
            add_share_row(view, stack, v, nearest_point(view, v));
        for (size_t i = 0; i < view->results->run_count && has_all; i++)
            if (view_begins_point(view, v, i))
                add_share_row(view, stack, v, view_operating(view, &view->results->runs[i]));
    }
    char caption[SHOW_MAX + 120];
    snprintf(caption, sizeof caption, "Where the A-weighted energy lies, mean over the repeats of %s%s.",
             has_all ? "each operating point" : "the operating point nearest to ",
             has_all ? "" : show_operating(view->at, view_middle_point(view)).text);
    document_stack(document, stack, caption);
}

/* The frequency-ordered tones of a run that are among its highest. */
static bool is_among_highest(const struct rotor_figures *rotor, size_t index)
{
    size_t higher_count = 0;
    for (size_t i = 0; i < rotor->tone_count; i++)
        higher_count += rotor->tones[i].above_noise_db > rotor->tones[index].above_noise_db;
    return higher_count < TONES_SHOWN_MAX;
}

static void add_tone_row(struct table *table, const struct tone *tone)
{
    struct text others = { 0 };
    for (size_t i = 0; i < tone->alternative_count; i++)
        text_addf(&others, "%s%s", i > 0 ? ", " : "or ", tone->alternatives[i]);
    if (tone->remark[0])
        text_addf(&others, "%s%s", others.length > 0 ? "; " : "", tone->remark);
    table_cell(table, "%s", show_hz(tone->hz).text);
    table_cell(table, "%s", show(tone->level_db, 1).text);
    table_cell(table, "%s", show(tone->above_noise_db, 1).text);
    table_cell(table, "%s", tone->source);
    table_cell(table, "%s", show(tone->shaft_order, 2).text);
    table_cell(table, "%s", show(tone->tone_to_noise_db, 1).text);
    table_cell(table, "%s", show(tone->prominence_db, 1).text);
    table_cell(table, "%s", show(tone->audibility_db, 1).text);
    table_cell(table, "%s", tone->is_prominent ? "yes" : "no");
    table_cell(table, "%s", others.data ? others.data : "");
    table_fail(table, others.failed);
    text_clear(&others);
}

static void add_tone_table(const struct view *view, struct document *document, double at)
{
    struct table *table = table_new("Tones of the runs above");
    char level[SHOW_MAX];
    snprintf(level, sizeof level, "Level, %s", show_level_unit(view->results));
    table_column(table, "Rotor", true);
    table_column(table, "Hz", false);
    table_column(table, level, false);
    table_column(table, "Above noise, dB", false);
    table_column(table, "Source", true);
    table_column(table, "Shaft order", false);
    table_column(table, "TNR, dB", false);
    table_column(table, "PR, dB", false);
    table_column(table, "Audibility, dB", false);
    table_column(table, "Prominent", true);
    table_column(table, "May also be, remarks", true);
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        const struct run_result *run = view_run(view, v, at);
        for (size_t i = 0, told = 0; run && i < run->rotor.tone_count; i++) {
            if (!is_among_highest(&run->rotor, i))
                continue;
            table_row(table, told == 0);
            table_cell(table, "%s", told == 0 ? view_variant(view, v)->name : "");
            if (told++ == 0)
                table_look(table, view_look(view, v));
            add_tone_row(table, &run->rotor.tones[i]);
        }
    }
    document_table(document, table);
}

/* The ratios by their letters and without the standard, which the header and the text below name. */
static void add_criterion_cell(struct table *table, const struct tonality *tonality)
{
    static const char *const ratios[][2] = { { "tone-to-noise ratio", "TNR" }, { "prominence ratio", "PR" } };
    const char *rest = tonality->criterion, *letters = "", *source = tonality->prominent_source;
    for (size_t i = 0; i < sizeof ratios / sizeof *ratios; i++)
        if (strncmp(rest, ratios[i][0], strlen(ratios[i][0])) == 0) {
            letters = ratios[i][1];
            rest += strlen(ratios[i][0]);
        }
    const char *standard = strstr(rest, " (ECMA");
    int length = (int)(standard ? (size_t)(standard - rest) : strlen(rest));
    table_cell(table, "%s%s%s%.*s", source, source[0] ? ": " : "", letters, length, rest);
}

static void add_verdict_row(const struct view *view, struct table *table, const struct run_result *run, bool begins)
{
    const struct tonality *tonality = &run->tonality;
    table_row(table, begins);
    table_cell(table, "%s", run->file);
    table_look(table, view_look(view, view_variant_of(view, run->variant)));
    if (is_given(tonality->decisive_hz))
        table_cell(table, "%s, %s Hz", tonality->decisive_source[0] ? tonality->decisive_source : "unexplained",
                   show(tonality->decisive_hz, 1).text);
    else
        table_cell(table, "none");
    table_cell(table, "%s", show(tonality->audibility_db, 1).text);
    table_cell(table, "%s", show(tonality->audibility_uncertainty_db, 1).text);
    if (tonality->adjustment_db >= 0)
        table_cell(table, "%d", tonality->adjustment_db);
    else
        table_cell(table, "\xe2\x80\x93");
    if (tonality->is_prominent)
        add_criterion_cell(table, tonality);
    else
        table_cell(table, "none");
}

/* Run by run: the decisive tone by audibility, and whether a tone is prominent, by which ratio. */
static void add_verdicts(const struct view *view, struct document *document)
{
    struct table *table = table_new("Verdict on the tones, run by run");
    const char *last = NULL;
    table_column(table, "Run", true);
    table_column(table, "Decisive tone", true);
    table_column(table, "Audibility, dB", false);
    table_column(table, "\xc2\xb1, dB", false);
    table_column(table, "K_T, dB", false);
    table_column(table, "Prominent by ECMA-418-1", true);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        if (run->error[0] || run_result_verdict(run) == SEVERITY_UNUSABLE)
            continue;
        add_verdict_row(view, table, run, last && run->variant && strcmp(last, run->variant) != 0);
        last = run->variant;
    }
    appendix_table(document, table, "results.json");
}

static bool has_tones(const struct view *view)
{
    for (size_t i = 0; i < view->results->run_count; i++)
        if (view->results->runs[i].rotor.tone_count > 0)
            return true;
    return false;
}

void section_tones(const struct view *view, struct document *document)
{
    if (!has_tones(view) || view->value_count == 0)
        return;
    double at = view_middle_point(view);
    document_section(document, "tones", "Tones and what makes them");
    shown_refer(view, document, "tables/tones.csv");
    add_shares(view, document);
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        const struct run_result *run = view_run(view, v, at);
        if (run && run->trace.count > 0)
            add_named_spectrum(view, document, run, v);
    }
    add_tone_table(view, document, at);
    document_add(
        document, BLOCK_QUIET,
        "Sources: blade n, n times blades times speed; shaft n, n times a turn; belt or gear mesh n, n times the "
        "teeth that pass; motor electrical n, n times the pole pairs that pass. "
        "TNR: tone-to-noise ratio, PR: prominence ratio, prominent: by either (ECMA-418-1). Audibility: over "
        "what the noise masks (ISO/PAS 20065). At most %d tones of a run are shown, the highest above the "
        "noise; tables/tones.csv lists all tones of all runs. A dash: it is heard as one with a stronger tone "
        "beside it, which has the figure.",
        TONES_SHOWN_MAX);
    machine_remarks_add(view, document);
}

void appendix_tones(const struct view *view, struct document *document)
{
    if (!has_tones(view))
        return;
    document_add(document, BLOCK_HEADING, "Tones");
    document_add(
        document, BLOCK_QUIET,
        "Decisive: the most audible tone; \xc2\xb1: its extended uncertainty (90 %%); K_T: the adjustment of ISO "
        "1996-2 for it, a matter of rating sites, not rotors. TNR: tone-to-noise ratio, PR: prominence ratio.");
    add_verdicts(view, document);
}
