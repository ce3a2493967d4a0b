/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/rank.h"

#include "base/absent.h"

#include <math.h>

#define LAEQ "LAeq_db"

static const struct comparison *told_at(const struct view *view, double at, size_t variant)
{
    const struct comparison *item = view_comparison(view, at, LAEQ, ABSENT, variant);
    return item && item->verdict != COMPARE_REFUSED ? item : NULL;
}

bool rank_difference(const struct view *view, double at, size_t variant, double *difference_db)
{
    const struct comparison *item = told_at(view, at, variant);
    size_t rival;
    *difference_db = item ? item->difference_db : 0;
    return item || (variant == view->results->reference && rank_rival(view, at, &rival));
}

size_t rank_quietest(const struct view *view, double at)
{
    size_t count = view_variant_count(view), best = count;
    double lowest = HUGE_VAL, difference_db;
    for (size_t i = 0; i < count; i++)
        if (rank_difference(view, at, i, &difference_db) && difference_db < lowest) {
            lowest = difference_db;
            best = i;
        }
    return best;
}

const struct comparison *rank_rival(const struct view *view, double at, size_t *variant)
{
    const struct comparison *best = NULL;
    for (size_t i = 0; i < view_variant_count(view); i++) {
        const struct comparison *item = told_at(view, at, i);
        if (item && (!best || item->difference_db < best->difference_db)) {
            best = item;
            *variant = i;
        }
    }
    return best;
}

bool rank_is_left_out(const struct view *view, double at, size_t variant)
{
    double difference_db;
    return !rank_difference(view, at, variant, &difference_db);
}

bool rank_is_among_some(const struct view *view, size_t variant)
{
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t v = 0; v < view_variant_count(view) && rank_quietest(view, view->values[p]) == variant; v++)
            if (rank_is_left_out(view, view->values[p], v))
                return true;
    return false;
}
