/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "report/show.h"

#include <math.h>
#include <string.h>

static size_t count_verdict(const struct view *view, enum severity severity)
{
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++)
        count += run_result_verdict(&view->results->runs[i]) == severity;
    return count;
}

static void add_count(struct text *out, size_t count, const char *what)
{
    text_addf(out, "%zu %s %s", count, count == 1 ? "is" : "are", what);
}

void runs_verdicts_tell(const struct view *view, struct text *out)
{
    size_t run_count = view->results->run_count, doubtful_count = count_verdict(view, SEVERITY_DOUBTFUL),
           unusable_count = count_verdict(view, SEVERITY_UNUSABLE);
    size_t good_count = run_count - doubtful_count - unusable_count;
    if (good_count == run_count) {
        text_addf(out, run_count == 1 ? "The only run is good." : "All %zu runs are good.", run_count);
        return;
    }
    if (unusable_count == run_count) {
        text_addf(out, run_count == 1 ? "The only run is unusable." : "All %zu runs are unusable.", run_count);
        return;
    }
    text_addf(out, "Of %zu %s ", run_count, run_count == 1 ? "run" : "runs");
    if (good_count > 0)
        add_count(out, good_count, "good");
    else
        text_add(out, "none is good");
    if (doubtful_count > 0) {
        text_add(out, unusable_count > 0 || good_count == 0 ? ", " : " and ");
        add_count(out, doubtful_count, "doubtful (used, and marked)");
    }
    if (unusable_count > 0) {
        text_add(out, " and ");
        add_count(out, unusable_count, "unusable (left out of comparisons)");
    }
    text_add(out, ".");
}

/* A finding of a run, whether it is in its list or told by the error alone. */
struct told {
    const char *code, *sentence;
    double band_hz;
    enum severity severity;
};

static size_t told_count(const struct run_result *run)
{
    return run->findings.count + (run->error[0] && !findings_have(&run->findings, "unreadable") ? 1 : 0);
}

static struct told told_of(const struct run_result *run, size_t index)
{
    if (index >= run->findings.count)
        return (struct told){ "unreadable", run->error, ABSENT, SEVERITY_UNUSABLE };
    const struct finding *finding = &run->findings.items[index];
    return (struct told){ finding->code, finding->text, finding->band_hz, finding->severity };
}

static bool is_told(const struct run_result *run, const struct told *told)
{
    for (size_t i = 0; i < told_count(run); i++) {
        struct told other = told_of(run, i);
        bool same_band =
            (!is_given(other.band_hz) && !is_given(told->band_hz)) || fabs(other.band_hz - told->band_hz) < 1e-6;
        if (same_band && strcmp(other.code, told->code) == 0 && strcmp(other.sentence, told->sentence) == 0)
            return true;
    }
    return false;
}

#define NAMES_LENGTH_MAX 260 /* of the runs of one row; results.json has each run with its findings */

/* One row for a sentence, however many runs it is said of. */
static void add_row(const struct view *view, struct table *table, size_t first, const struct told *told)
{
    const struct run_result *runs = view->results->runs;
    struct text names = { 0 };
    size_t run_count = 0, more_count = 0, variant = view_variant_of(view, runs[first].variant);
    for (size_t i = first; i < view->results->run_count; i++) {
        if (!is_told(&runs[i], told))
            continue;
        if (run_count++ == 0 || names.length + strlen(runs[i].file) < NAMES_LENGTH_MAX)
            text_addf(&names, "%s%s", names.length > 0 ? ", " : "", runs[i].file);
        else
            more_count++;
    }
    if (more_count > 0)
        text_addf(&names, " and %zu more", more_count);
    table_row(table, false);
    table_cell(table, "%s", severity_key(told->severity));
    table_cell(table, "%s", told->code);
    table_cell(table, "%s", show(told->band_hz, is_given(told->band_hz) && told->band_hz < 100 ? 1 : 0).text);
    table_cell(table, "%s", told->sentence);
    table_cell(table, "%s", names.data ? names.data : "");
    if (run_count == 1 && variant < view_variant_count(view))
        table_look(table, variant);
    table_fail(table, names.failed);
    text_clear(&names);
}

static void add_rows(const struct view *view, struct table *table, enum severity severity)
{
    const struct run_result *runs = view->results->runs;
    for (size_t i = 0; i < view->results->run_count; i++)
        for (size_t k = 0; k < told_count(&runs[i]); k++) {
            struct told told = told_of(&runs[i], k);
            bool is_first = told.severity == severity;
            for (size_t n = 0; n < i && is_first; n++)
                is_first = !is_told(&runs[n], &told);
            if (is_first)
                add_row(view, table, i, &told);
        }
}

static void add_left_out(const struct view *view, struct document *document)
{
    struct text out = { 0 };
    for (size_t i = 0; i < view->results->run_count; i++)
        if (run_result_verdict(&view->results->runs[i]) == SEVERITY_UNUSABLE)
            text_addf(&out, "%s%s", out.length > 0 ? ", " : "", view->results->runs[i].file);
    if (out.length > 0 && out.data)
        document_add(document, BLOCK_TEXT, "Left out: %s.", out.data);
    document->failed = document->failed || out.failed;
    text_clear(&out);
}

static void add_notes(const struct view *view, struct document *document)
{
    bool any = false;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        struct text out = { 0 };
        if (run->note && run->note[0])
            text_add(&out, run->note);
        for (size_t k = 0; k < run->note_count; k++)
            text_addf(&out, "%s%s: %s", out.length > 0 ? "; " : "", run->notes[k].column, run->notes[k].value);
        if (out.length > 0 && !any)
            document_add(document, BLOCK_HEADING, "Notes from the log");
        any = any || out.length > 0;
        if (out.length > 0 && out.data)
            document_add(document, BLOCK_ITEM, "%s: %s", run->file, out.data);
        document->failed = document->failed || out.failed;
        text_clear(&out);
    }
}

void section_findings(const struct view *view, struct document *document)
{
    struct text out = { 0 };
    document_section(document, "findings", "Findings");
    runs_verdicts_tell(view, &out);
    if (out.data)
        document_add(document, BLOCK_TEXT, "%s", out.data);
    document->failed = document->failed || out.failed;
    text_clear(&out);
    add_left_out(view, document);
    struct table *table = table_new("What is wrong, or may be, and what to do about it");
    table_column(table, "How bad", true);
    table_column(table, "Code", true);
    table_column(table, "Band, Hz", false);
    table_column(table, "Finding", true);
    table_column(table, "Runs", true);
    add_rows(view, table, SEVERITY_UNUSABLE);
    add_rows(view, table, SEVERITY_DOUBTFUL);
    add_rows(view, table, SEVERITY_NOTE);
    bool is_empty = !table || table->row_count == 0;
    document_table(document, table);
    if (is_empty)
        document_add(document, BLOCK_TEXT, "Nothing was found wrong with any recording.");
    add_notes(view, document);
}
