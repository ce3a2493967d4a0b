/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/shown.h"

#include "base/text.h"
#include "report/rank.h"
#include "report/show.h"

#include <math.h>

void shown_order(const struct view *view, size_t *order)
{
    double differences_db[VIEW_VARIANTS_MAX], at = view->value_count > 0 ? view_middle_point(view) : 0;
    size_t count = view_variant_count(view);
    for (size_t v = 0; v < count; v++) {
        size_t place = v;
        if (!view_has_others(view) || !view->is_compared || !rank_difference(view, at, v, &differences_db[v]))
            differences_db[v] = HUGE_VAL;
        while (place > 0 && differences_db[order[place - 1]] > differences_db[v]) {
            order[place] = order[place - 1];
            place--;
        }
        order[place] = v;
    }
}

static bool is_ranked(const struct view *view, size_t variant)
{
    double difference_db;
    return view->is_compared && rank_difference(view, view_middle_point(view), variant, &difference_db);
}

static void take(bool *is_taken, size_t variant, size_t *count)
{
    if (*count < VIEW_SHOWN_MAX && !is_taken[variant]) {
        is_taken[variant] = true;
        (*count)++;
    }
}

void shown_choose(struct view *view)
{
    size_t order[VIEW_VARIANTS_MAX], total = view_variant_count(view), count = 0, ranked = 0;
    bool is_taken[VIEW_VARIANTS_MAX] = { false };
    shown_order(view, order);
    while (ranked < total && is_ranked(view, order[ranked]))
        ranked++;
    take(is_taken, view->results->reference, &count);
    if (ranked > 0)
        take(is_taken, order[ranked - 1], &count);
    for (size_t i = 0; i < ranked; i++)
        take(is_taken, order[i], &count);
    for (int with_runs = 1; with_runs >= 0; with_runs--)
        for (size_t v = 0; v < total && count < VIEW_SHOWN_MAX; v++)
            if (!with_runs || view_has_variant_runs(view, v))
                take(is_taken, v, &count);
    for (size_t v = 0; v < total; v++) {
        view->looks[v] = is_taken[v] ? view->shown_count : LOOK_OTHERS;
        if (is_taken[v])
            view->shown[view->shown_count++] = v;
    }
}

void shown_tell(const struct view *view, struct document *document)
{
    struct text names = { 0 };
    if (!view_has_others(view))
        return;
    for (size_t k = 0; k < view->shown_count; k++)
        text_addf(&names, "%s%s", k > 0 ? ", " : "", view_variant(view, view->shown[k])->name);
    document_add(
        document, BLOCK_QUIET,
        "Pictures, and the tables of the sections, show %zu of the %zu rotors, the reference%s%s: %s. Grey: the "
        "others. tables/ and results.json have every figure of all; a campaign whose log holds only some shows "
        "those.",
        view->shown_count, view_variant_count(view),
        view->is_compared ? ", the quietest and the loudest at " : " and the first of the others",
        view->is_compared ? show_operating(view->at, view_middle_point(view)).text : "", names.data ? names.data : "");
    document->failed = document->failed || names.failed;
    text_clear(&names);
}

void shown_refer(const struct view *view, struct document *document, const char *elsewhere)
{
    if (view_has_others(view))
        document_add(document, BLOCK_QUIET,
                     "Of %zu rotors these are the %zu that the summary names; %s has the others.",
                     view_variant_count(view), view->shown_count, elsewhere);
}
