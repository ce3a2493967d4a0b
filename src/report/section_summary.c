/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "compare/words.h"
#include "report/answer.h"
#include "report/faults.h"
#include "report/show.h"
#include "report/shown.h"
#include "report/what_if_words.h"

#include <stdio.h>

double run_level_db(const struct run_result *run)
{
    return is_given(run->at_reference.laeq_db) ? run->at_reference.laeq_db : run->figures.levels.laeq_db;
}

struct shown show_run_level(const struct run_result *run)
{
    struct shown out, level = show(run_level_db(run), 1);
    snprintf(out.text, sizeof out.text, "%s%.90s", run->at_reference.is_upper_bound ? "\xe2\x89\xa4 " : "", level.text);
    return out;
}

static const char *microphone_of(const struct view *view, size_t variant)
{
    const char *name = variant >= VIEW_VARIANTS_MAX          ? NULL
                       : variant == view->results->reference ? view->run_microphone[variant]
                                                             : view->pair_microphone[variant];
    return name ? name : "";
}

#define ROWS_MAX 15 /* what fits on the first page; beyond that the table is of the middle point */

static void add_columns(const struct view *view, struct table *table)
{
    char level[SHOW_MAX];
    snprintf(level, sizeof level, "LAeq, %s", show_level_unit(view->results));
    table_column(table, "Rotor", true);
    if (view->has_many_microphones)
        table_column(table, "Microphone", true);
    table_column(table, level, false);
    table_column(table, "Difference, dB", false);
    table_column(table, "95 % interval, dB", false);
    table_column(table, "Verdict", true);
}

/* The cells of these columns; without a comparison dashes. */
static void add_cells(const struct view *view, struct table *table, double at, size_t variant)
{
    const struct comparison *item = view_comparison(view, at, "LAeq_db", ABSENT, variant);
    struct view_value value = { ABSENT, ABSENT, ABSENT };
    char words[sizeof item->words];
    bool is_reference = variant == view->results->reference, is_refused = item && item->verdict == COMPARE_REFUSED;
    if (!view_value(view, at, "LAeq_db", ABSENT, variant, &value) || is_refused)
        value.value = ABSENT;
    table_cell(table, "%s", view_variant(view, variant)->name);
    table_look(table, view_look(view, variant));
    if (view->has_many_microphones)
        table_cell(table, "%s", microphone_of(view, variant));
    table_cell(table, "%s", show(value.value, 1).text);
    table_cell(table, "%s", is_reference ? "reference" : show_signed(item ? item->difference_db : ABSENT, 1).text);
    table_cell(table, "%s", item ? show_interval(item->ci95_low_db, item->ci95_high_db, 1).text : "");
    table_cell(table, "%s",
               item                                   ? words_of_verdict(item, words, sizeof words)
               : is_reference                         ? ""
               : view_has_variant_runs(view, variant) ? "not compared here"
                                                      : "no recording of it can be used");
}

/* A row a variant and point: level, difference with its interval, verdict. */
static void add_points_table(const struct view *view, struct document *document)
{
    struct table *table = table_new("");
    bool has_all = view->value_count * view->shown_count <= ROWS_MAX;
    table_column(table, "At", false);
    add_columns(view, table);
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t s = 0, row = 0; s < view->shown_count && (has_all || view_is_middle(view, p)); s++) {
            struct view_value value;
            if (!view_value(view, view->values[p], "LAeq_db", ABSENT, view->shown[s], &value) &&
                !view_comparison(view, view->values[p], "LAeq_db", ABSENT, view->shown[s]))
                continue;
            table_row(table, row++ == 0);
            table_cell(table, "%s", show_operating(view->at, view->values[p]).text);
            add_cells(view, table, view->values[p], view->shown[s]);
        }
    document_table(document, table);
    if (!has_all)
        document_add(document, BLOCK_QUIET, "The other points are in the appendix.");
}

/* Where most of the energy of a rotor lies: "broadband noise, 79 %". */
static void add_largest_source(const struct view *view, struct table *table, size_t variant)
{
    struct what_if_list list = what_ifs_of(view, variant);
    size_t first = 0;
    while (first < list.count && list.items[first].kind == WHAT_IF_MAIN_BANDS)
        first++;
    if (first < list.count)
        table_cell(table, "%s, %s %%", what_if_name(&list.items[first]).text,
                   show(list.items[first].share_pct, 0).text);
    else
        table_cell(table, "\xe2\x80\x93");
}

/* Of more rotors than are shown a row each at the middle point, quietest first. */
static void add_rotors_table(const struct view *view, struct document *document)
{
    size_t order[VIEW_VARIANTS_MAX];
    double at = view_middle_point(view);
    char caption[SHOW_MAX];
    snprintf(caption, sizeof caption, "All %zu rotors at %.60s, quietest first", view_variant_count(view),
             show_operating(view->at, at).text);
    struct table *table = table_new(caption);
    add_columns(view, table);
    table_column(table, "Most energy in", true);
    table_column(table, "Prominent tone", true);
    shown_order(view, order);
    for (size_t i = 0; i < view_variant_count(view); i++) {
        const struct run_result *run = view_run(view, order[i], at);
        table_row(table, false);
        add_cells(view, table, at, order[i]);
        add_largest_source(view, table, order[i]);
        table_cell(table, "%s",
                   !run                                ? "\xe2\x80\x93"
                   : !run->tonality.is_prominent       ? "none"
                   : run->tonality.prominent_source[0] ? run->tonality.prominent_source
                                                       : "unexplained");
    }
    document_table(document, table);
    document_add(document, BLOCK_QUIET,
                 "Other points: tables/comparisons.csv. Prominent tone: in the run nearest to "
                 "the point.");
}

/* How many recordings are fit to use, and what is wrong with the others. */
static void add_fitness(const struct view *view, struct document *document)
{
    struct text out = { 0 };
    runs_verdicts_tell(view, &out);
    faults_tell(view->results, FAULTS_BRIEF, &out);
    if (out.data)
        document_add(document, BLOCK_ITEM, "Recordings: %s", out.data);
    document->failed = document->failed || out.failed;
    text_clear(&out);
}

void section_summary(const struct view *view, struct document *document)
{
    document_section(document, "summary", "Summary");
    answer_add(view, document);
    add_fitness(view, document);
    document_chart(document, curve_chart(view, "LAeq_db"), view_has_others(view) ? 180 : 235,
                   "A-weighted level of each rotor against its operating point, at the reference distance, less the "
                   "background where it was recorded. Each marker is a run (open: doubtful; arrow: at most this); "
                   "lines are fits through the "
                   "runs, bands their 95 % intervals.");
    shown_tell(view, document);
    if (view->is_compared && view_has_others(view))
        add_rotors_table(view, document);
    else if (view->is_compared)
        add_points_table(view, document);
    document_add(document, BLOCK_QUIET,
                 "LAeq: the mean level, weighted as the ear hears (A).%s A level measured here is no legal or "
                 "certification measurement: see Cautions.",
                 view->is_compared ? " 95 % interval: in 95 of 100 such campaigns it holds the truth." : "");
}
