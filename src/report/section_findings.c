/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "report/show.h"

#include <string.h>

static size_t count_verdict(const struct view *view, enum severity severity)
{
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++)
        count += run_result_verdict(&view->results->runs[i]) == severity;
    return count;
}

static void add_row(const struct view *view, struct table *table, const struct run_result *run, const char *severity,
                    const char *code, const char *sentence, double band_hz)
{
    size_t variant = view_variant_of(view, run->variant);
    table_row(table, false);
    table_cell(table, "%s", run->file);
    if (variant < view_variant_count(view))
        table_look(table, variant);
    table_cell(table, "%s", severity);
    table_cell(table, "%s", code);
    table_cell(table, "%s", show(band_hz, is_given(band_hz) && band_hz < 100 ? 1 : 0).text);
    table_cell(table, "%s", sentence);
}

/* The same finding in many bands of a run or in many runs stays one row each: a reader wants to see where. */
static void add_rows(const struct view *view, struct table *table, enum severity severity)
{
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        bool error_is_told = findings_have(&run->findings, "unreadable");
        if (run->error[0] && !error_is_told && severity == SEVERITY_UNUSABLE)
            add_row(view, table, run, severity_key(severity), "unreadable", run->error, ABSENT);
        for (size_t k = 0; k < run->findings.count; k++) {
            const struct finding *finding = &run->findings.items[k];
            if (finding->severity == severity)
                add_row(view, table, run, severity_key(severity), finding->code, finding->text, finding->band_hz);
        }
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

void section_findings(const struct view *view, struct document *document)
{
    size_t unusable_count = count_verdict(view, SEVERITY_UNUSABLE),
           doubtful_count = count_verdict(view, SEVERITY_DOUBTFUL);
    document_section(document, "findings", "Findings");
    document_add(
        document, BLOCK_TEXT,
        "Of %zu runs %zu are good, %zu doubtful (used, and marked) and %zu unusable (left out of comparisons).",
        view->results->run_count, view->results->run_count - unusable_count - doubtful_count, doubtful_count,
        unusable_count);
    add_left_out(view, document);
    struct table *table = table_new("What is wrong, or may be, and what to do about it");
    table_column(table, "Run", true);
    table_column(table, "How bad", true);
    table_column(table, "Code", true);
    table_column(table, "Band, Hz", false);
    table_column(table, "Finding", true);
    add_rows(view, table, SEVERITY_UNUSABLE);
    add_rows(view, table, SEVERITY_DOUBTFUL);
    add_rows(view, table, SEVERITY_NOTE);
    bool is_empty = !table || table->row_count == 0;
    document_table(document, table);
    if (is_empty)
        document_add(document, BLOCK_TEXT, "Nothing was found wrong with any recording.");
}
