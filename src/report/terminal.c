/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "report/answer.h"
#include "report/clean.h"
#include "report/report.h"
#include "report/sections.h"
#include "report/show.h"

#include <stdlib.h>
#include <string.h>

/* Lines stay below 100 columns. A cell is padded by the columns that its characters take, not by bytes. */
static void add_cell(struct text *out, const char *text, size_t columns, bool is_right)
{
    char *clean = clean_text(text, CLEAN_CELL_MAX);
    if (clean)
        clean_add_padded(out, clean, columns, is_right);
    else
        out->failed = true;
    text_add(out, "  ");
    free(clean);
}

/* A row's last cell: no spaces behind it. */
static void add_last(struct text *out, const char *text, size_t columns)
{
    add_cell(out, text, columns, false);
    while (out->length > 0 && !out->failed && out->data[out->length - 1] == ' ')
        out->data[--out->length] = '\0';
    text_add(out, "\n");
}

static void add_heading(struct text *out, const char *const *names, const size_t *columns, size_t count)
{
    for (size_t i = 0; i + 1 < count; i++)
        add_cell(out, names[i], columns[i], i >= 2);
    add_last(out, names[count - 1], columns[count - 1]);
    size_t width = columns[count - 1];
    for (size_t i = 0; i + 1 < count; i++)
        width += columns[i] + 2;
    for (size_t i = 0; i < width; i++)
        text_add(out, "\xe2\x94\x80");
    text_add(out, "\n");
}

static void add_wrapped(struct text *out, const char *text)
{
    char *clean = clean_text(text, CLEAN_PARAGRAPH_MAX);
    size_t column = 0;
    for (char *at = clean; at && *at;) {
        size_t length = strcspn(at, " ");
        char kept = at[length];
        at[length] = '\0';
        size_t columns = clean_columns(at);
        if (column > 0 && column + 1 + columns > 96) {
            text_add(out, "\n");
            column = 0;
        }
        if (column > 0)
            text_add(out, " ");
        text_add(out, at);
        column += columns + (column > 0);
        at[length] = kept;
        at += length;
        at += strspn(at, " ");
    }
    text_add(out, "\n");
    out->failed = out->failed || !clean;
    free(clean);
}

static void add_points(const struct view *view, struct text *out)
{
    static const char *const names[] = { "at", "rotor", "LAeq", "difference", "95 % interval", "verdict" };
    static const size_t columns[] = { 14, 20, 8, 10, 16, 20 };
    add_heading(out, names, columns, 6);
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t v = 0; v < view_variant_count(view); v++) {
            const struct comparison *item = view_comparison(view, view->values[p], "LAeq_db", ABSENT, v);
            struct view_value value;
            if (!view_value(view, view->values[p], "LAeq_db", ABSENT, v, &value))
                continue;
            bool is_reference = v == view->results->reference;
            add_cell(out, show_operating(view->at, view->values[p]).text, columns[0], false);
            add_cell(out, view_variant(view, v)->name, columns[1], false);
            add_cell(out, show(value.value, 1).text, columns[2], true);
            add_cell(out, is_reference ? "" : show_signed(item ? item->difference_db : ABSENT, 1).text, columns[3],
                     true);
            add_cell(out, item ? show_interval(item->ci95_low_db, item->ci95_high_db, 1).text : "", columns[4], true);
            bool is_sure = item && (item->verdict != COMPARE_UNCLEAR || is_given(item->ci95_low_db));
            add_last(out,
                     is_reference ? "reference"
                     : !item      ? ""
                     : is_sure    ? compare_verdict_key(item->verdict)
                                  : "how sure: not known",
                     columns[5]);
        }
}

static void add_runs(const struct view *view, struct text *out)
{
    static const char *const names[] = { "run", "rotor", "at", "LAeq", "rev/min", "blade tone", "verdict" };
    static const size_t columns[] = { 26, 14, 12, 7, 8, 10, 10 };
    add_heading(out, names, columns, 7);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        double at = view_operating(view, run);
        add_cell(out, run->file, columns[0], false);
        add_cell(out, run->variant ? run->variant : "", columns[1], false);
        add_cell(out, is_given(at) ? show_operating(view->at, at).text : "\xe2\x80\x93", columns[2], true);
        add_cell(out, show_run_level(run).text, columns[3], true);
        add_cell(out, show(is_given(run->rotor.rpm_measured) ? run->rotor.rpm_measured : run->rpm_given, 0).text,
                 columns[4], true);
        add_cell(out,
                 run->rotor.blade_passage_count > 0 ? blade_verdict_key(run->rotor.blade_passages[0].verdict)
                                                    : "\xe2\x80\x93",
                 columns[5], true);
        add_last(out, severity_verdict(run_result_verdict(run)), columns[6]);
    }
}

/* Paragraphs, and items with a dash before them; clears the document. */
static void add_blocks(struct document *document, struct text *out)
{
    for (size_t i = 0; i < document->count; i++) {
        struct text line = { 0 };
        text_addf(&line, "%s%s", document->items[i].kind == BLOCK_ITEM ? "- " : "", document->items[i].text);
        if (line.data)
            add_wrapped(out, line.data);
        out->failed = out->failed || line.failed;
        text_clear(&line);
    }
    out->failed = out->failed || document->failed;
    document_clear(document);
}

/* The words that the report's summary begins with. */
static void add_answer(const struct view *view, struct text *out)
{
    struct document document = { 0 };
    answer_add(view, &document);
    add_blocks(&document, out);
}

/* What to change first, an item a rotor. */
static void add_what_ifs(const struct view *view, struct text *out)
{
    struct document document = { 0 };
    what_ifs_tell(view, &document);
    if (document.count > 0)
        text_add(out, "\nWhat to change first\n");
    add_blocks(&document, out);
}

#define TOLD_MAX 10 /* lines on runs that are not good; the report lists all */

static void add_verdict(const struct run_result *run, enum severity verdict, struct text *out)
{
    struct text line = { 0 };
    const char *reason = run->error;
    for (size_t k = run->findings.count; k-- > 0;)
        if (run->findings.items[k].severity == verdict)
            reason = run->findings.items[k].text;
    text_addf(&line, "%s, %s: %s", run->file, severity_verdict(verdict), reason);
    if (line.data)
        add_wrapped(out, line.data);
    out->failed = out->failed || line.failed;
    text_clear(&line);
}

/* The unusable first, then the doubtful. */
static void add_verdicts(const struct results *results, struct text *out)
{
    size_t told_count = 0, count = 0;
    for (int verdict = SEVERITY_UNUSABLE; verdict >= SEVERITY_DOUBTFUL; verdict--)
        for (size_t i = 0; i < results->run_count; i++) {
            if ((int)run_result_verdict(&results->runs[i]) != verdict || count++ >= TOLD_MAX)
                continue;
            add_verdict(&results->runs[i], (enum severity)verdict, out);
            told_count++;
        }
    if (count > told_count)
        text_addf(out, "and %zu more runs that are not good: see the report\n", count - told_count);
}

void report_terminal(const struct results *results, struct text *out)
{
    struct view view;
    view_make(results, &view);
    add_wrapped(out, results->campaign->title ? results->campaign->title : "");
    text_addf(out, "LAeq at the reference distance, %s\n\n", show_level_unit(results));
    add_runs(&view, out);
    if (view.is_compared) {
        text_add(out, "\n");
        add_points(&view, out);
    }
    text_add(out, "\n");
    add_answer(&view, out);
    add_what_ifs(&view, out);
    text_add(out, "\n");
    add_verdicts(results, out);
}

static void add_one_run(const struct run_result *run, struct text *out)
{
    static const char *const names[] = { "Hz", "source", "level", "above noise", "expected Hz", "order" };
    static const size_t columns[] = { 10, 24, 8, 12, 12, 8 };
    const struct levels *levels = &run->figures.levels;
    const char *unit = show_run_unit(run);
    add_wrapped(out, run->file);
    if (run->error[0]) {
        add_wrapped(out, run->error);
        return;
    }
    text_addf(out, "used %s to %s s of %s s (%s); %s\n", show(run->used_start_s, 2).text, show(run->used_end_s, 2).text,
              show(run->duration_s, 2).text, run->used_reason, severity_verdict(run_result_verdict(run)));
    text_addf(out, "LAeq %s  LCeq %s  LZeq %s  LAFmax %s  LAFmin %s  LASmax %s  %s\n", show(levels->laeq_db, 1).text,
              show(levels->lceq_db, 1).text, show(levels->lzeq_db, 1).text, show(levels->lafmax_db, 1).text,
              show(levels->lafmin_db, 1).text, show(levels->lasmax_db, 1).text, unit);
    text_addf(out, "LCpeak %s  LAE %s  LA10 %s  LA50 %s  LA90 %s  %s\n", show(levels->lcpeak_db, 1).text,
              show(levels->lae_db, 1).text, show(levels->la10_db, 1).text, show(levels->la50_db, 1).text,
              show(levels->la90_db, 1).text, unit);
    if (is_given(run->at_reference.distance_correction_db))
        text_addf(out, "at the reference distance LAeq %s%s  %s (distance %s dB)\n",
                  run->at_reference.is_upper_bound ? "at most " : "", show(run->at_reference.laeq_db, 1).text, unit,
                  show_signed(run->at_reference.distance_correction_db, 1).text);
    else
        text_add(out, "these are the levels at the microphone: no distance was given\n");
    if (is_given(run->rotor.rpm_measured))
        text_addf(out, "speed %s rev/min, from %s\n", show(run->rotor.rpm_measured, 1).text, run->rotor.rpm_source);
    if (is_given(run->figures.hearing.loudness_n5_sone))
        text_addf(out, "loudness N5 %s sone, sharpness %s acum, roughness %s asper, fluctuation %s vacil\n",
                  show(run->figures.hearing.loudness_n5_sone, 1).text,
                  show(run->figures.hearing.sharpness_acum, 2).text, show(run->figures.hearing.roughness_asper, 2).text,
                  show(run->figures.hearing.fluctuation_vacil, 3).text);
    if (run->rotor.tone_count > 0)
        add_heading(out, names, columns, 6);
    for (size_t i = 0; i < run->rotor.tone_count; i++) {
        const struct tone *tone = &run->rotor.tones[i];
        add_cell(out, show_hz(tone->hz).text, columns[0], false);
        add_cell(out, tone->source, columns[1], false);
        add_cell(out, show(tone->level_db, 1).text, columns[2], true);
        add_cell(out, show(tone->above_noise_db, 1).text, columns[3], true);
        add_cell(out, show_hz(tone->expected_hz).text, columns[4], true);
        add_last(out, show(tone->shaft_order, 2).text, columns[5]);
    }
    for (size_t i = 0; i < run->findings.count; i++) {
        struct text line = { 0 };
        text_addf(&line, "%s: %s", severity_key(run->findings.items[i].severity), run->findings.items[i].text);
        if (line.data)
            add_wrapped(out, line.data);
        text_clear(&line);
    }
}

void report_terminal_runs(const struct run_result *runs, size_t run_count, struct text *out)
{
    for (size_t i = 0; i < run_count; i++) {
        text_add(out, i > 0 ? "\n" : "");
        add_one_run(&runs[i], out);
    }
}
