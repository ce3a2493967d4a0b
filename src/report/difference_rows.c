/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/difference_rows.h"

#include "base/absent.h"
#include "compare/operating.h"
#include "compare/words.h"
#include "report/show.h"

#include <math.h>
#include <string.h>

static struct table *difference_table(const struct view *view, const char *caption)
{
    struct table *table = table_new(caption);
    table_column(table, "At", false);
    table_column(table, "Rotor", true);
    table_column(table, "Quantity", true);
    if (view->has_many_microphones)
        table_column(table, "Microphone", true);
    table_column(table, "Rotor's value", false);
    table_column(table, "Reference's value", false);
    table_column(table, "Difference", false);
    table_column(table, "95 % interval", false);
    table_column(table, "Runs", false);
    table_column(table, "Basis", true);
    table_column(table, "Verdict", true);
    return table;
}

static void add_difference_row(const struct view *view, struct table *table, const struct comparison *item, bool begins)
{
    struct quantity_text text = show_quantity(item->quantity);
    table_row(table, begins);
    table_cell(table, "%s",
               is_given(item->value) ? show_operating(item->at, item->value).text : operating_name(item->at));
    table_cell(table, "%s", item->variant);
    table_look(table, view_look(view, view_variant_of(view, item->variant)));
    table_cell(table, "%s", show_brief_header(item->quantity).text);
    if (view->has_many_microphones)
        table_cell(table, "%s", item->microphone);
    table_cell(table, "%s", show(item->variant_value, text.decimals).text);
    table_cell(table, "%s", show(item->reference_value, text.decimals).text);
    table_cell(table, "%s", show_signed(item->difference_db, text.decimals).text);
    table_cell(table, "%s", show_interval(item->ci95_low_db, item->ci95_high_db, text.decimals).text);
    table_cell(table, "%d + %d", item->variant_run_count, item->reference_run_count);
    table_cell(table, "%s", item->basis);
    char words[sizeof item->words];
    table_cell(table, "%s", words_of_verdict(item, words, sizeof words));
}

static bool is_in_set(const struct view *view, const struct comparison *item, enum difference_set set)
{
    if (item->verdict == COMPARE_REFUSED || !view_is_shown(view, view_variant_of(view, item->variant)))
        return false;
    if (item->at != view->at)
        return set == DIFFERENCES_OTHER_QUANTITIES && strcmp(item->quantity, "LAeq_db") == 0;
    bool is_middle = view->value_count > 0 && view_is_at(view, item->value, view_middle_point(view));
    return set == (is_middle ? DIFFERENCES_MIDDLE : DIFFERENCES_OTHER_POINTS);
}

struct table *difference_rows(const struct view *view, const char *caption, enum difference_set set)
{
    const struct comparisons *all = &view->results->comparisons;
    struct table *table = difference_table(view, caption);
    const struct comparison *last = NULL;
    for (size_t i = 0; i < all->count; i++) {
        const struct comparison *item = &all->items[i];
        if (strcmp(item->quantity, "third_octave_db") == 0 || !is_in_set(view, item, set))
            continue;
        bool is_other_point = last && set == DIFFERENCES_OTHER_POINTS && fabs(last->value - item->value) > 1e-9;
        bool is_other = last && (strcmp(last->variant, item->variant) != 0 || last->at != item->at || is_other_point);
        add_difference_row(view, table, item, is_other);
        last = item;
    }
    return table;
}
