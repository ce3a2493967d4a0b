/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "report/faults.h"
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

/* Doubtful in some bands only: comparisons of A-levels count these as good, and pictures do not mark them. */
static size_t count_doubtful_bands(const struct view *view)
{
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        count += run_result_verdict(run) == SEVERITY_DOUBTFUL && !told_is_marked(run);
    }
    return count;
}

/* What becomes of doubtful runs. */
static void add_use(struct text *out, size_t count, size_t bands_only_count)
{
    if (bands_only_count == 0)
        text_add(out, " (used, and marked)");
    else if (bands_only_count == count)
        text_addf(out, " (used; only in some bands, so %s as good)",
                  count == 1 ? "its A-level counts" : "their A-levels count");
    else
        text_addf(out, " (used, and marked; %zu of them only in some bands, so %s as good)", bands_only_count,
                  bands_only_count == 1 ? "its A-level counts" : "their A-levels count");
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
        add_count(out, doubtful_count, "doubtful");
        add_use(out, doubtful_count, count_doubtful_bands(view));
    }
    if (unusable_count > 0) {
        text_add(out, " and ");
        add_count(out, unusable_count, "unusable (left out of comparisons)");
    }
    text_add(out, ".");
}

#define ALIKE_MAX 3          /* runs, each with its own figures; more share a row */
#define NAMES_LENGTH_MAX 260 /* of the runs of one row; results.json has each run with its findings */

/* Findings alike but for their figures, from the run `first` on: of the whole campaign, or of that run's rotor. */
struct group {
    size_t first;
    struct told told;
    bool is_of_campaign;
};

static bool is_same(const struct told *a, const struct told *b)
{
    bool same_band = (!is_given(a->band_hz) && !is_given(b->band_hz)) || fabs(a->band_hz - b->band_hz) < 1e-6;
    return same_band && strcmp(a->code, b->code) == 0 && strcmp(a->sentence, b->sentence) == 0;
}

static bool is_like(const struct told *a, const struct told *b)
{
    return a->severity == b->severity && strcmp(a->code, b->code) == 0 && told_alike(a->sentence, b->sentence);
}

static bool is_of(const struct view *view, const struct group *group, size_t run_index)
{
    const char *ours = view->results->runs[group->first].variant, *other = view->results->runs[run_index].variant;
    return group->is_of_campaign || (ours && other ? strcmp(ours, other) == 0 : ours == other);
}

/* Whether one of the first `count` findings of a run is of the group; exactly the group's first, or like it. */
static bool is_said(const struct view *view, const struct group *group, size_t run_index, size_t count, bool is_exact)
{
    for (size_t k = 0; k < count && is_of(view, group, run_index); k++) {
        struct told other = told_of(&view->results->runs[run_index], k);
        if (is_exact ? is_same(&other, &group->told) : is_like(&other, &group->told))
            return true;
    }
    return false;
}

/* Whether the finding `index` of a run is the first of its group, looked for from the run `from` on. */
static bool is_first(const struct view *view, const struct group *group, size_t from, size_t index, bool is_exact)
{
    for (size_t n = from; n < group->first; n++)
        if (is_said(view, group, n, told_count(&view->results->runs[n]), is_exact))
            return false;
    return !is_said(view, group, group->first, index, is_exact);
}

static size_t count_runs(const struct view *view, const struct group *group)
{
    size_t count = 0;
    for (size_t i = group->first; i < view->results->run_count; i++)
        count += is_said(view, group, i, told_count(&view->results->runs[i]), false);
    return count;
}

static bool is_uniform(const struct view *view, const struct group *group)
{
    for (size_t i = group->first; i < view->results->run_count; i++)
        for (size_t k = 0; k < told_count(&view->results->runs[i]) && is_of(view, group, i); k++) {
            struct told told = told_of(&view->results->runs[i], k);
            if (is_like(&told, &group->told) && !is_same(&told, &group->told))
                return false;
        }
    return true;
}

static void add_row(const struct view *view, struct table *table, const struct group *group, bool is_exact)
{
    const struct run_result *runs = view->results->runs;
    const struct told *told = &group->told;
    struct text names = { 0 };
    size_t run_count = 0, more_count = 0, variant = view_variant_of(view, runs[group->first].variant);
    for (size_t i = group->first; i < view->results->run_count; i++) {
        if (!is_said(view, group, i, told_count(&runs[i]), is_exact))
            continue;
        const char *comma = run_count == 0 ? "" : run_count == 1 && !is_exact ? "; with other figures: " : ", ";
        if (run_count++ == 0 || names.length + strlen(runs[i].file) < NAMES_LENGTH_MAX)
            text_addf(&names, "%s%s", comma, runs[i].file);
        else
            more_count++;
    }
    if (more_count > 0)
        text_addf(&names, " and %zu more", more_count);
    double band_hz = is_exact ? told->band_hz : ABSENT;
    table_row(table, false);
    table_cell(table, "%s", severity_key(told->severity));
    table_cell(table, "%s", told->code);
    table_cell(table, "%s", show(band_hz, is_given(band_hz) && band_hz < 100 ? 1 : 0).text);
    table_cell(table, "%s", told->sentence);
    table_cell(table, "%s", names.data ? names.data : "");
    if (run_count == 1 || !group->is_of_campaign)
        table_look(table, view_look(view, variant));
    table_fail(table, names.failed);
    text_clear(&names);
}

/* One row where many runs share it, else one for each sentence. */
static void add_group(const struct view *view, struct table *table, const struct group *group)
{
    bool is_exact = is_uniform(view, group);
    if (is_exact || count_runs(view, group) > ALIKE_MAX) {
        add_row(view, table, group, is_exact);
        return;
    }
    for (size_t i = group->first; i < view->results->run_count; i++)
        for (size_t k = 0; k < told_count(&view->results->runs[i]) && is_of(view, group, i); k++) {
            struct group exact = { i, told_of(&view->results->runs[i], k), group->is_of_campaign };
            if (is_like(&exact.told, &group->told) && is_first(view, &exact, group->first, k, true))
                add_row(view, table, &exact, true);
        }
}

/* Findings alike: together where they are the same throughout, and notes in any case; else rotor by rotor. */
static void add_alike(const struct view *view, struct table *table, const struct group *all)
{
    if (all->told.severity == SEVERITY_NOTE || is_uniform(view, all)) {
        add_group(view, table, all);
        return;
    }
    for (size_t i = all->first; i < view->results->run_count; i++)
        for (size_t k = 0; k < told_count(&view->results->runs[i]); k++) {
            struct group group = { i, told_of(&view->results->runs[i], k), false };
            if (is_like(&group.told, &all->told) && is_first(view, &group, all->first, k, false))
                add_group(view, table, &group);
        }
}

/* The rows of a code, in the order of the runs. */
static void add_rows(const struct view *view, struct table *table, const struct fault *fault)
{
    for (size_t i = fault->first_run; i <= fault->last_run; i++)
        for (size_t k = 0; k < told_count(&view->results->runs[i]); k++) {
            struct group all = { i, told_of(&view->results->runs[i], k), true };
            if (all.told.severity == fault->severity && strcmp(all.told.code, fault->code) == 0 &&
                is_first(view, &all, fault->first_run, k, false))
                add_alike(view, table, &all);
        }
}

static void add_faults(const struct view *view, struct table *table)
{
    struct faults faults;
    faults_make(view->results, false, &faults);
    for (size_t i = 0; i < faults.count; i++)
        add_rows(view, table, &faults.items[i]);
    table_fail(table, faults.failed);
    faults_clear(&faults);
}

#define LEFT_OUT_MAX 12 /* by name */

static void add_left_out(const struct view *view, struct document *document)
{
    struct text out = { 0 };
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++)
        if (run_result_verdict(&view->results->runs[i]) == SEVERITY_UNUSABLE && count++ < LEFT_OUT_MAX)
            text_addf(&out, "%s%s", count > 1 ? ", " : "", view->results->runs[i].file);
    if (count > LEFT_OUT_MAX)
        text_addf(&out, " and %zu more", count - LEFT_OUT_MAX);
    if (out.length > 0 && out.data)
        document_add(document, BLOCK_TEXT, "Left out: %s.", out.data);
    document->failed = document->failed || out.failed;
    text_clear(&out);
}

#define NOTES_MAX 40

static void add_notes(const struct view *view, struct document *document)
{
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        struct text out = { 0 };
        if (run->note && run->note[0])
            text_add(&out, run->note);
        for (size_t k = 0; k < run->note_count; k++)
            text_addf(&out, "%s%s: %s", out.length > 0 ? "; " : "", run->notes[k].column, run->notes[k].value);
        count += out.length > 0;
        if (out.length > 0 && count == 1)
            document_add(document, BLOCK_HEADING, "Notes from the log");
        if (out.length > 0 && out.data && count <= NOTES_MAX)
            document_add(document, BLOCK_ITEM, "%s: %s", run->file, out.data);
        document->failed = document->failed || out.failed;
        text_clear(&out);
    }
    if (count > NOTES_MAX)
        document_add(document, BLOCK_ITEM, "%zu more: results.json.", count - NOTES_MAX);
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
    add_faults(view, table);
    bool is_empty = !table || table->row_count == 0;
    document_table(document, table);
    if (is_empty)
        document_add(document, BLOCK_TEXT, "Nothing was found wrong with any recording.");
    else
        document_add(
            document, BLOCK_QUIET,
            "Where more than %d runs of a rotor (of a note: of any rotor) share a finding but for its figures, one "
            "row tells it with those of the first; results.json has the figures of each.",
            ALIKE_MAX);
    add_notes(view, document);
}
