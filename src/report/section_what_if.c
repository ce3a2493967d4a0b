/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "report/show.h"
#include "report/shown.h"
#include "report/what_if_words.h"

#define ROWS_MAX 5 /* of a rotor */

static void add_rows(const struct view *view, struct table *table, size_t variant)
{
    struct what_if_list list = what_ifs_of(view, variant);
    for (size_t i = 0, told = 0; i < list.count && told < ROWS_MAX; i++) {
        const struct what_if *item = &list.items[i];
        struct text left = { 0 };
        if (what_if_is_small(item) && !item->is_prominent)
            continue;
        what_if_left(item, &left);
        table_row(table, told == 0);
        table_cell(table, "%s", told == 0 ? view_variant(view, variant)->name : "");
        if (told++ == 0)
            table_look(table, view_look(view, variant));
        table_cell(table, "%s", what_if_name(item).text);
        table_cell(table, "%s", show(item->share_pct, item->share_pct < 9.95 ? 1 : 0).text);
        table_cell(table, "%s", what_if_fall(item).text);
        table_cell(table, "%s", left.data ? left.data : "");
        table_cell(table, "%s", item->kind == WHAT_IF_MAIN_BANDS ? "" : what_if_lever(item));
        table_fail(table, left.failed);
        text_clear(&left);
    }
}

static void add_table(const struct view *view, struct document *document)
{
    struct table *table = table_new("If one source were silent");
    table_column(table, "Rotor", true);
    table_column(table, "Silent", true);
    table_column(table, "Share, %", false);
    table_column(table, "LAeq falls at most, dB", false);
    table_column(table, "Prominent then", true);
    table_column(table, "Where work on it starts", true);
    for (size_t s = 0; s < view->shown_count; s++)
        add_rows(view, table, view->shown[s]);
    document_table(document, table);
}

void what_ifs_tell(const struct view *view, struct document *document)
{
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        struct what_if_list list = what_ifs_of(view, v);
        struct text out = { 0 };
        what_if_advise(&list, &out);
        if (out.data)
            document_add(document, BLOCK_ITEM, "%s at %s: %s", view_variant(view, v)->name,
                         show_operating(list.items->at, list.items->value).text, out.data);
        document->failed = document->failed || out.failed;
        text_clear(&out);
    }
}

void section_what_if(const struct view *view, struct document *document)
{
    if (view->results->comparisons.what_if_count == 0)
        return;
    document_section(document, "first", "What to change first");
    shown_refer(view, document, "tables/what-ifs.csv");
    what_ifs_tell(view, document);
    add_table(view, document);
    document_add(
        document, BLOCK_QUIET,
        "Share: of the A-weighted energy, less any recorded background. LAeq falls at most: by 10 lg(1 \xe2\x88\x92 "
        "share) dB, if that source were silent and nothing else changed; half as much sound from it brings "
        "less. Shares do not add up in dB. Prominent then: parts whose tones are prominent without it. The "
        "last column names what usually helps; it is no result of these recordings.");
}
