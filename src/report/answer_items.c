/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/answer.h"

#include "base/absent.h"
#include "base/text.h"
#include "report/rank.h"
#include "report/show.h"
#include "report/sound_words.h"
#include "report/why.h"

#include <math.h>
#include <string.h>

#define LAEQ "LAeq_db"

/* Whether the own intervals of two variants meet; false in `is_known` where one is not known, or they were not recorded
 * by the same microphone. */
static bool are_apart(const struct view *view, double at, size_t quiet, size_t loud, bool *is_known)
{
    struct view_value low = { ABSENT, ABSENT, ABSENT }, high = low;
    *is_known = view_value(view, at, LAEQ, ABSENT, quiet, &low) && view_value(view, at, LAEQ, ABSENT, loud, &high) &&
                is_given(low.high) && is_given(high.low) &&
                view_is_of_runs(view, quiet, view->run_microphone[loud < VIEW_VARIANTS_MAX ? loud : 0]);
    return *is_known && high.low > low.high;
}

/* Whether the order of the two is settled: by the interval of their difference where the second is the reference, which
 * is what the first was compared with; else where their own intervals do not meet. */
static const char *order_words(const struct view *view, double at, size_t first, size_t second)
{
    const struct comparison *item = view_comparison(view, at, LAEQ, ABSENT, first);
    if (second == view->results->reference && item && compare_verdict_is_clear(item->verdict))
        return "";
    if (second == view->results->reference && item && item->verdict == COMPARE_UNCLEAR)
        return "; the interval of their difference holds 0, so the order of these two is not settled";
    bool is_known, is_apart = are_apart(view, at, first, second, &is_known);
    return is_apart   ? ""
           : is_known ? "; their intervals meet, so the order of these two is not settled"
                      : "; how sure this order is, is not known";
}

/* The runner-up. */
static void add_second(struct text *out, const struct view *view, double at, size_t first)
{
    size_t second = view_variant_count(view);
    double best_db, next_db = HUGE_VAL, difference_db;
    if (!rank_difference(view, at, first, &best_db))
        return;
    for (size_t i = 0; i < view_variant_count(view); i++)
        if (i != first && rank_difference(view, at, i, &difference_db) && difference_db < next_db) {
            next_db = difference_db;
            second = i;
        }
    if (second == view_variant_count(view) || view_variant_count(view) < 3)
        return;
    text_addf(out, "Next at %s: %s, %s dB above it%s.", show_operating(view->at, at).text,
              view_variant(view, second)->name, show(next_db - best_db, 1).text, order_words(view, at, first, second));
}

static bool is_equal_level(const struct view *view, const struct equal_level *item)
{
    size_t variant = view_variant_of(view, item->variant);
    return item->at == view->at && view_is_shown(view, variant) && view_is_of_runs(view, variant, item->microphone) &&
           is_given(item->value);
}

static size_t reached_count(const struct view *view, double level_db)
{
    const struct comparisons *all = &view->results->comparisons;
    size_t count = 0;
    for (size_t i = 0; i < all->equal_level_count; i++)
        count += is_equal_level(view, &all->equal_levels[i]) && fabs(all->equal_levels[i].level_db - level_db) < 0.01;
    return count;
}

/* The level that most rotors reach, the middle one of several; ABSENT when there is none. */
static double equal_level_told(const struct view *view)
{
    const struct comparisons *all = &view->results->comparisons;
    double levels_db[8] = { ABSENT };
    size_t most = 0, count = 0;
    for (size_t i = 0; i < all->equal_level_count; i++) {
        double level_db = all->equal_levels[i].level_db;
        size_t reached = is_equal_level(view, &all->equal_levels[i]) ? reached_count(view, level_db) : 0;
        if (reached > most)
            count = 0;
        most = reached > most ? reached : most;
        bool is_new = reached == most && reached > 0 && count < sizeof levels_db / sizeof *levels_db;
        for (size_t k = 0; k < count && is_new; k++)
            is_new = fabs(levels_db[k] - level_db) > 0.01;
        if (is_new)
            levels_db[count++] = level_db;
    }
    return levels_db[count > 0 ? (count - 1) / 2 : 0];
}

/* "At equal level, LAeq 65 dB at 1 m: stock2 lifts 2 N, slow5 4.35 N.": at the middle one of the levels that most
 * rotors reach. */
static void add_equal_level(struct text *out, const struct view *view)
{
    const struct comparisons *all = &view->results->comparisons;
    double level_db = equal_level_told(view);
    size_t told = 0;
    for (size_t i = 0; i < all->equal_level_count; i++) {
        const struct equal_level *item = &all->equal_levels[i];
        if (!is_equal_level(view, item) || fabs(item->level_db - level_db) > 0.01)
            continue;
        if (told++ == 0) {
            text_addf(out, "At equal level, LAeq %s %s", show(level_db, 0).text,
                      view->results->is_absolute ? "dB" : "dBFS");
            if (is_given(view->results->campaign->reference_distance_m))
                text_addf(out, " at %s m", show_plain(view->results->campaign->reference_distance_m, 2).text);
        }
        text_addf(out, "%s %s %s%s", told > 1 ? "," : ":", item->variant,
                  told > 1                         ? ""
                  : item->at == OPERATING_THRUST_N ? "lifts "
                                                   : "is at ",
                  show_operating(item->at, item->value).text);
    }
    text_add(out, told > 0 ? "." : "");
}

/* How the rotor that the answer is about sounds against the reference, and a caution where its level does not say all.
 */
static void add_sound(struct text *out, const struct view *view, double at, size_t first, size_t explained)
{
    struct text words = { 0 };
    const struct run_result *run = view_run(view, first, at);
    sound_words_compare(view, at, explained, &words);
    if (words.length > 0)
        text_addf(out, "To the ear at %s: %s ", show_operating(view->at, at).text, words.data);
    if (run && run->tonality.is_prominent)
        text_addf(out, "A prominent tone may annoy more than the level of %s says. ", view_variant(view, first)->name);
    out->failed = out->failed || words.failed;
    text_clear(&words);
}

static void add_item(struct document *document, struct text *out)
{
    if (out->data && out->data[0])
        document_add(document, BLOCK_ITEM, "%s", out->data);
    document->failed = document->failed || out->failed;
    text_clear(out);
}

void answer_items_add(const struct view *view, struct document *document, const struct answer *answer)
{
    struct text out = { 0 };
    if (answer->is_ranked && answer->first != view->results->reference) /* the reference's next is told already */
        add_second(&out, view, answer->at, answer->first);
    add_item(document, &out);
    add_sound(&out, view, answer->at, answer->first, answer->explained);
    add_item(document, &out);
    if (answer->is_explained)
        why_add_parts(view, answer->at, answer->explained, &out);
    add_item(document, &out);
    add_equal_level(&out, view);
    add_item(document, &out);
}
