/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "report/answer.h"
#include "report/faults.h"
#include "report/report.h"
#include "report/sections.h"
#include "report/show.h"
#include "report/shown.h"
#include "report/terminal_lines.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void add_points(const struct view *view, struct text *out)
{
    static const char *const names[] = { "at", "rotor", "LAeq", "difference", "95 % interval", "verdict" };
    static const size_t columns[] = { 14, 20, 8, 10, 16, 20 };
    terminal_heading(out, names, columns, 6);
    size_t order[VIEW_VARIANTS_MAX];
    shown_order(view, order);
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t i = 0; i < view_variant_count(view) && (!view_has_others(view) || view_is_middle(view, p)); i++) {
            size_t v = order[i];
            const struct comparison *item = view_comparison(view, view->values[p], "LAeq_db", ABSENT, v);
            struct view_value value;
            if (!view_value(view, view->values[p], "LAeq_db", ABSENT, v, &value))
                continue;
            bool is_reference = v == view->results->reference;
            terminal_cell(out, show_operating(view->at, view->values[p]).text, columns[0], false);
            terminal_cell(out, view_variant(view, v)->name, columns[1], false);
            terminal_cell(out, show(value.value, 1).text, columns[2], true);
            terminal_cell(out, is_reference ? "" : show_signed(item ? item->difference_db : ABSENT, 1).text, columns[3],
                          true);
            terminal_cell(out, item ? show_interval(item->ci95_low_db, item->ci95_high_db, 1).text : "", columns[4],
                          true);
            bool is_sure = item && item->verdict != COMPARE_UNKNOWN;
            terminal_last(out,
                          is_reference ? "reference"
                          : !item      ? ""
                          : is_sure    ? compare_verdict_key(item->verdict)
                                       : "how sure: not known",
                          columns[5]);
        }
}

#define RUNS_MAX 60 /* of more only those that are not good: too many to be read */

/* How many runs are good, in words; true where all are. */
static bool is_told_good(const struct view *view, struct text *out)
{
    struct text words = { 0 };
    size_t good_count = 0;
    for (size_t i = 0; i < view->results->run_count; i++)
        good_count += run_result_verdict(&view->results->runs[i]) == SEVERITY_NOTE;
    runs_verdicts_tell(view, &words);
    if (words.data)
        terminal_wrapped(out, words.data);
    out->failed = out->failed || words.failed;
    text_clear(&words);
    return good_count == view->results->run_count;
}

/* In brackets the logged speed, where the sound gives none. */
static struct shown speed_cell(const struct run_result *run)
{
    struct shown logged = show(run->rpm_given, 0), out;
    if (is_given(run->rotor.rpm_measured) || !is_given(run->rpm_given))
        return show(run->rotor.rpm_measured, 0);
    snprintf(out.text, sizeof out.text, "(%.20s)", logged.text);
    return out;
}

static void add_runs(const struct view *view, struct text *out)
{
    static const char *const names[] = { "run", "rotor", "at", "LAeq", "rev/min", "blade tone", "verdict" };
    static const size_t columns[] = { 26, 14, 12, 7, 8, 10, 10 };
    bool has_all = view->results->run_count <= RUNS_MAX;
    if (!has_all && is_told_good(view, out))
        return;
    terminal_heading(out, names, columns, 7);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        if (!has_all && run_result_verdict(run) == SEVERITY_NOTE)
            continue;
        double at = view_operating(view, run);
        terminal_cell(out, run->file, columns[0], false);
        terminal_cell(out, run->variant ? run->variant : "", columns[1], false);
        terminal_cell(out, is_given(at) ? show_operating(view->at, at).text : "\xe2\x80\x93", columns[2], true);
        terminal_cell(out, show_run_level(run).text, columns[3], true);
        terminal_cell(out, speed_cell(run).text, columns[4], true);
        terminal_cell(out,
                      run->rotor.blade_passage_count > 0 ? blade_verdict_key(run->rotor.blade_passages[0].verdict)
                                                         : "\xe2\x80\x93",
                      columns[5], true);
        terminal_last(out, severity_verdict(run_result_verdict(run)), columns[6]);
    }
}

/* Paragraphs, items with a dash before them, warnings with an exclamation mark; clears the document. */
static void add_blocks(struct document *document, struct text *out)
{
    for (size_t i = 0; i < document->count; i++) {
        enum block_kind kind = document->items[i].kind;
        struct text line = { 0 };
        text_addf(&line, "%s%s",
                  kind == BLOCK_ITEM      ? "- "
                  : kind == BLOCK_WARNING ? "! "
                                          : "",
                  document->items[i].text);
        if (line.data)
            terminal_wrapped(out, line.data);
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

/* What is wrong with runs, a paragraph each. */
static void add_faults(const struct results *results, struct text *out)
{
    struct text lines = { 0 };
    faults_tell(results, FAULTS_LINES, &lines);
    for (char *line = lines.data, *end; line && *line; line = end + 1) {
        end = strchr(line, '\n');
        *end = '\0';
        terminal_wrapped(out, line);
    }
    out->failed = out->failed || lines.failed;
    text_clear(&lines);
}

void report_terminal(const struct results *results, struct text *out)
{
    struct view view;
    view_make(results, &view);
    terminal_wrapped(out, results->campaign->title ? results->campaign->title : "");
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
    add_faults(results, out);
}
