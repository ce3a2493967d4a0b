/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/memory.h"
#include "fixture.h"
#include "report/document.h"
#include "report/report.h"
#include "report/sections.h"
#include "report/shown.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A campaign of more rotors than pictures show: the rules of docs/report.md, "Many rotors". The fixture's three rotors
 * (stock2 is the reference, swept3 4.4 dB and slow5 8 dB below it at 3.5 N) and others that are only compared. */

#define OTHERS 9
#define MIDDLE_N 3.5

static const char *const other_names[OTHERS] = { "a1", "a2", "a3", "a4", "a5", "a6", "a7", "a8", "a9" };
/* From the reference; the last cannot be compared. */
static const double differences_db[OTHERS] = { 1, -9, 5, -1, -10, -2, 3, -11, NAN };

static void add_comparison(struct comparisons *all, const char *name, double difference_db)
{
    void *items = all->items;
    if (!memory_grow(&items, &all->capacity, all->count + 1, sizeof *all->items))
        abort();
    all->items = items;
    struct comparison *item = &all->items[all->count];
    *item = all->items[0];
    for (size_t i = 0; i < all->count; i++)
        if (fabs(all->items[i].value - MIDDLE_N) < 0.01 && strcmp(all->items[i].quantity, "LAeq_db") == 0)
            *item = all->items[i];
    all->count++;
    snprintf(item->variant, sizeof item->variant, "%s", name);
    item->difference_db = difference_db;
    item->variant_value = item->reference_value + difference_db;
    item->ci95_low_db = difference_db - 0.5;
    item->ci95_high_db = difference_db + 0.5;
    item->verdict = isnan(difference_db) ? COMPARE_REFUSED : difference_db < 0 ? COMPARE_QUIETER : COMPARE_LOUDER;
    snprintf(item->reason, sizeof item->reason, "%s", isnan(difference_db) ? "no common range" : "");
}

static void add_rotors(struct fixture *fixture)
{
    struct campaign *campaign = &fixture->campaign;
    size_t count = campaign->variant_count;
    campaign->variants = realloc(campaign->variants, (count + OTHERS) * sizeof *campaign->variants);
    if (!campaign->variants)
        abort();
    for (size_t i = 0; i < OTHERS; i++) {
        campaign->variants[count + i] = campaign->variants[0];
        campaign->variants[count + i].name = memory_copy_text(other_names[i]);
        campaign->variants[count + i].title = NULL;
        add_comparison(&fixture->results.comparisons, other_names[i], differences_db[i]);
    }
    campaign->variant_count = count + OTHERS;
}

static void remark(struct comparisons *all, const char *sentence)
{
    all->remarks = realloc(all->remarks, (all->remark_count + 1) * sizeof *all->remarks);
    if (!all->remarks)
        abort();
    all->remarks[all->remark_count++] = memory_copy_text(sentence);
}

static void few_are_all_shown(void)
{
    struct fixture fixture;
    struct view view;
    size_t order[3];
    fixture_make(&fixture, FIXTURE_RICH);
    view_make(&fixture.results, &view);
    shown_order(&view, order);
    tap_ok(view.shown_count == 3 && !view_has_others(&view) && view_look(&view, 2) == 2, "three rotors are all shown");
    tap_ok(order[0] == 0 && order[1] == 1 && order[2] == 2, "in the campaign's order");
    fixture_clear(&fixture);
}

static void add_names(const struct view *view, const size_t *variants, size_t count, char *out, size_t size)
{
    out[0] = '\0';
    for (size_t i = 0; i < count; i++)
        snprintf(out + strlen(out), size - strlen(out), "%s%s", i > 0 ? " " : "",
                 view_variant(view, variants[i])->name);
}

static void six_are_chosen(void)
{
    struct fixture fixture;
    struct view view;
    size_t order[3 + OTHERS];
    char names[200];
    fixture_make(&fixture, FIXTURE_RICH);
    add_rotors(&fixture);
    view_make(&fixture.results, &view);
    add_names(&view, view.shown, view.shown_count, names, sizeof names);
    tap_text(names, "stock2 slow5 a2 a3 a5 a8", "the reference, the loudest (a3) and the four quietest");
    shown_order(&view, order);
    add_names(&view, order, 3 + OTHERS, names, sizeof names);
    tap_text(names, "a8 a5 a2 slow5 swept3 a6 a4 stock2 a1 a7 a3 a9", "quietest first, what is not compared last");
    tap_ok(view_look(&view, 0) == 0 && view_look(&view, 1) == LOOK_OTHERS && view_look(&view, 2) == 1,
           "looks go to those that are shown");
    fixture_clear(&fixture);
}

static bool has_cell(const struct table *table, const char *text)
{
    for (size_t r = 0; r < table->row_count; r++)
        for (size_t c = 0; c < table->rows[r].count; c++)
            if (strcmp(table->rows[r].cells[c].text, text) == 0)
                return true;
    return false;
}

static size_t count_items(const struct document *document, const char *words)
{
    size_t count = 0;
    for (size_t i = 0; i < document->count; i++)
        count += document->items[i].kind == BLOCK_ITEM && strstr(document->items[i].text, words);
    return count;
}

static void the_others_have_their_row(void)
{
    struct fixture fixture;
    struct document document;
    struct err err;
    size_t table_count = 0;
    fixture_make(&fixture, FIXTURE_RICH);
    add_rotors(&fixture);
    remark(&fixture.results.comparisons, "a6 against stock2 at 3.5 N: told with 1 doubtful run.");
    remark(&fixture.results.comparisons, "a8 against stock2 at 3.5 N: told with 1 doubtful run.");
    remark(&fixture.results.comparisons, "a6 changes with speed: stop and look it over before it runs faster.");
    if (!tap_ok(document_make(&fixture.results, &document, &err), "a document is made"))
        return;
    for (size_t i = 0; i < document.count; i++) {
        const struct table *table = document.items[i].table;
        if (!table || !has_cell(table, "a6"))
            continue;
        table_count++;
        bool is_of_all = strncmp(table->caption, "All 12 rotors at 3.5", 20) == 0;
        tap_ok(is_of_all || strcmp(table->caption, "Rotors") == 0, "\"%s\" has a6", table->caption);
        tap_ok(!is_of_all || (table->row_count == 12 && strcmp(table->rows[0].cells[0].text, "a8") == 0),
               "twelve rows, the quietest first");
    }
    tap_ok(table_count == 2, "no other table has it");
    tap_ok(count_items(&document, "told with 1 doubtful run") == 1, "remarks on rotors that are shown");
    tap_ok(count_items(&document, "a6 changes with speed") == 1, "and on others, where they are warned of");
    tap_ok(count_items(&document, "1 more on rotors that are not shown: results.json") == 1, "how many are left out");
    document_clear(&document);
    fixture_clear(&fixture);
}

#define MANY_RUNS 61

/* Of more than 60 runs the terminal has a row of those that are not good. */
static void the_terminal_is_short(void)
{
    for (int has_bad = 0; has_bad <= 1; has_bad++) {
        struct fixture fixture;
        struct text out = { 0 };
        struct run_result *many = memory_new(MANY_RUNS, sizeof *many);
        if (!many)
            abort();
        fixture_make(&fixture, FIXTURE_RICH);
        struct run_result *runs = fixture.results.runs;
        size_t run_count = fixture.results.run_count;
        for (size_t i = 0; i < MANY_RUNS; i++)
            many[i] = runs[has_bad && i == 9 ? 3 : 0]; /* 3: stock2-3000-b.wav is clipped */
        fixture.results.runs = many;
        fixture.results.run_count = MANY_RUNS;
        report_terminal(&fixture.results, &out);
        tap_ok(out.data && strstr(out.data, has_bad ? "Of 61 runs 60 are good" : "All 61 runs are good."),
               "the runs are counted");
        tap_ok(out.data && !strstr(out.data, "stock2-2000-a.wav  ") &&
                   (strstr(out.data, "stock2-3000-b.wav  ") != NULL) == has_bad,
               "a row for each that is not good: %d", has_bad);
        free(many);
        fixture.results.runs = runs;
        fixture.results.run_count = run_count;
        text_clear(&out);
        fixture_clear(&fixture);
    }
}

int main(void)
{
    the_terminal_is_short();
    few_are_all_shown();
    six_are_chosen();
    the_others_have_their_row();
    return tap_done();
}
