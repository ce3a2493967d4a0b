/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/answer.h"

#include "base/absent.h"
#include "base/text.h"
#include "compare/operating.h"
#include "compare/words.h"
#include "report/rank.h"
#include "report/show.h"
#include "report/warnings.h"
#include "report/why.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define LAEQ "LAeq_db"

static void add_difference(struct text *out, const struct view *view, const struct comparison *item, bool with_interval)
{
    struct shown at = show_operating(view->at, item->value), size = show(fabs(item->difference_db), 1);
    bool is_nothing = strcmp(size.text, "0.0") == 0;
    bool is_quieter = item->difference_db < 0;
    double low = is_quieter ? -item->ci95_high_db : item->ci95_low_db;
    double high = is_quieter ? -item->ci95_low_db : item->ci95_high_db;
    text_addf(out, "%s dB at %s", is_nothing ? "less than 0.1" : size.text, at.text);
    if (!with_interval)
        return;
    if (isfinite(low) && isfinite(high))
        text_addf(out, " (95 %% interval %s to %s)", show(low, 1).text, show(high, 1).text);
    else if (isfinite(low))
        text_addf(out, " (at least %s)", show(low, 1).text);
    else
        text_add(out, " (no interval)");
}

/* The difference that tells why `variant` is the quietest at a point: its own from the reference, or, where it is the
 * reference, that of the next. */
static const struct comparison *telling_difference(const struct view *view, double at, size_t variant)
{
    size_t rival;
    const struct comparison *item = variant == view->results->reference
                                        ? rank_rival(view, at, &rival)
                                        : view_comparison(view, at, LAEQ, ABSENT, variant);
    return item && item->verdict != COMPARE_REFUSED && rank_quietest(view, at) == variant ? item : NULL;
}

static void add_points(struct text *out, const struct view *view, size_t variant, size_t point_count)
{
    size_t shown_count = 0;
    if (point_count == view->value_count && point_count > 1) {
        text_addf(out, "every compared %s", operating_name(view->at));
        return;
    }
    for (size_t i = 0; i < view->value_count; i++)
        if (rank_quietest(view, view->values[i]) == variant)
            text_addf(out, "%s%s", shown_count++ > 0 ? ", " : "", show_operating(view->at, view->values[i]).text);
}

#define DIFFERENCES_TOLD_MAX 3
#define LEFT_OUT_TOLD_MAX 6

/* The points as the ranking tells them: the middle one first. */
static double told_point(const struct view *view, size_t rank)
{
    size_t middle = (view->value_count - 1) / 2;
    return view->values[rank == 0 ? middle : rank <= middle ? rank - 1 : rank];
}

/* The one variant that all telling differences of `variant` are about; NULL when there are several. */
static const char *only_rival(const struct view *view, size_t variant)
{
    const char *rival = NULL;
    for (size_t i = 0; i < view->value_count; i++) {
        const struct comparison *item = telling_difference(view, view->values[i], variant);
        if (item && rival && strcmp(item->variant, rival) != 0)
            return NULL;
        rival = item ? item->variant : rival;
    }
    return rival;
}

/* ": quieter than stock2 by ", or, for the reference itself, ": the next, swept3, is louder by ". */
static void add_lead_in(struct text *out, const struct view *view, size_t variant, bool is_clear)
{
    const char *rival = only_rival(view, variant);
    if (variant != view->results->reference)
        text_addf(out, ": %s than %s by ", is_clear ? "quieter" : "lower",
                  view_variant(view, view->results->reference)->name);
    else if (rival)
        text_addf(out, ": the next, %s, is %s by ", rival, is_clear ? "louder" : "higher");
    else
        text_addf(out, ": the next is %s by ", is_clear ? "louder" : "higher");
}

/* "slow5 is the quietest at 2 N, 3.5 N, 5 N: quieter than stock2 by 8.3 dB at 3.5 N (95 % interval ...), 8.5 dB at 2 N,
 * ...". The middle point comes first; the interval is told of the first, and where it holds 0. Where one holds 0, or
 * there is none, the rotor only has the lowest level. */
static void add_ranking(struct text *out, const struct view *view, size_t variant)
{
    size_t reference = view->results->reference, point_count = 0, unclear_count = 0, told = 0;
    for (size_t i = 0; i < view->value_count; i++) {
        const struct comparison *item = telling_difference(view, view->values[i], variant);
        point_count += rank_quietest(view, view->values[i]) == variant;
        unclear_count += item && !compare_verdict_is_clear(item->verdict);
    }
    if (point_count == 0)
        return;
    text_addf(out, "%s %s%s at ", show_variant_whole(view_variant(view, variant)).text,
              unclear_count > 0 ? "has the lowest level" : "is the quietest",
              rank_is_among_some(view, variant) ? " of those compared" : "");
    add_points(out, view, variant, point_count);
    for (size_t i = 0; i < view->value_count && told < DIFFERENCES_TOLD_MAX; i++) {
        const struct comparison *item = telling_difference(view, told_point(view, i), variant);
        if (!item)
            continue;
        if (told > 0)
            text_add(out, ", ");
        else
            add_lead_in(out, view, variant, unclear_count == 0);
        add_difference(out, view, item, told++ == 0 || !compare_verdict_is_clear(item->verdict));
        if (variant == reference && !only_rival(view, variant))
            text_addf(out, " by %s", item->variant);
    }
    text_add(out, ". ");
}

/* The points at which a rotor is left out: " at 2 N, 3 N"; empty for all of them. Returns how many. */
static size_t left_out_points(const struct view *view, size_t variant, struct text *out, const char **reason)
{
    size_t count = 0;
    for (size_t p = 0; p < view->value_count; p++) {
        const struct comparison *item = view_comparison(view, view->values[p], LAEQ, ABSENT, variant);
        if (!rank_is_left_out(view, view->values[p], variant))
            continue;
        text_addf(out, "%s%s", count++ > 0 ? ", " : " at ", show_operating(view->at, view->values[p]).text);
        *reason = item && !(*reason)[0] ? item->reason : *reason;
    }
    if (count == view->value_count)
        text_clear(out);
    return count;
}

/* "slow5 could not be compared at 2 N (too near the background there): it may be quieter or louder than any of these. "
 * Of several rotors the reasons are left to the section on differences. */
static void add_left_out(struct text *out, const struct view *view)
{
    size_t told_count = 0;
    const char *only_reason = "";
    for (size_t v = 0; v < view_variant_count(view); v++) {
        const char *reason = view_has_variant_runs(view, v) ? "" : "none of its recordings can be used";
        struct text points = { 0 };
        if (left_out_points(view, v, &points, &reason) > 0) {
            if (told_count++ < LEFT_OUT_TOLD_MAX)
                text_addf(out, "%s%s%s", told_count > 1 ? ", " : "", view_variant(view, v)->name,
                          points.data ? points.data : "");
            only_reason = reason;
        }
        out->failed = out->failed || points.failed;
        text_clear(&points);
    }
    if (told_count > LEFT_OUT_TOLD_MAX)
        text_addf(out, " and %zu more", told_count - LEFT_OUT_TOLD_MAX);
    if (told_count == 1)
        text_addf(out, " could not be compared%s%s%s: it may be quieter or louder than any of these. ",
                  only_reason[0] ? " (" : "", only_reason, only_reason[0] ? ")" : "");
    if (told_count > 1)
        text_add(out,
                 " could not be compared (why: under Differences): they may be quieter or louder than any of these. ");
}

/* Whether no difference at all is clear, though each has an interval. */
static bool is_nothing_clear(const struct view *view)
{
    size_t told_count = 0;
    for (size_t p = 0; p < view->value_count; p++)
        for (size_t v = 0; v < view_variant_count(view); v++) {
            const struct comparison *item = view_comparison(view, view->values[p], LAEQ, ABSENT, v);
            if (!item || item->verdict == COMPARE_REFUSED)
                continue;
            if (item->verdict != COMPARE_UNCLEAR)
                return false;
            told_count++;
        }
    return told_count > 0;
}

/* "The recordings do not tell the rotors apart: every interval holds 0. two against one: +0.2 dB at 2 N (...), ...". */
static void add_nothing_clear(struct text *out, const struct view *view)
{
    text_add(out, "The recordings do not tell the rotors apart: every interval of their differences holds 0. ");
    for (size_t v = 0, told = 0; v < view_variant_count(view) && told < DIFFERENCES_TOLD_MAX; v++) {
        size_t point_count = 0;
        for (size_t p = 0; p < view->value_count && point_count < DIFFERENCES_TOLD_MAX; p++) {
            const struct comparison *item = view_comparison(view, view->values[p], LAEQ, ABSENT, v);
            if (!item || item->verdict == COMPARE_REFUSED)
                continue;
            if (point_count++ == 0)
                text_addf(out, "%s against %s: ", show_variant_whole(view_variant(view, v)).text, item->reference);
            text_addf(out, "%s%s dB at %s (95 %% interval %s)", point_count > 1 ? ", " : "",
                      show_signed(item->difference_db, 1).text, show_operating(view->at, item->value).text,
                      show_interval(item->ci95_low_db, item->ci95_high_db, 1).text);
        }
        text_add(out, point_count > 0 ? ". " : "");
        told += point_count > 0;
    }
}

/* The words for the difference of the two quietest at a quoted point; NULL when there is none. */
static const char *step_at(const struct view *view, size_t rank)
{
    size_t variant;
    const struct comparison *item = rank_rival(view, told_point(view, rank), &variant);
    return item ? words_of_step(item->difference_db) : NULL;
}

/* What the quoted differences are to a listener: "clearly audible", or, where they are of several steps, "clearly
 * audible at 2.2 N and 1.3 N, a large step at 3.9 N". */
static void add_steps(struct text *out, const struct view *view)
{
    const char *steps[DIFFERENCES_TOLD_MAX];
    double points[DIFFERENCES_TOLD_MAX];
    size_t count = 0, same_count = 0;
    for (size_t rank = 0; rank < view->value_count && count < DIFFERENCES_TOLD_MAX; rank++) {
        steps[count] = step_at(view, rank);
        points[count] = told_point(view, rank);
        count += steps[count] != NULL;
    }
    for (size_t i = 0; i < count; i++)
        same_count += strcmp(steps[i], steps[0]) == 0;
    if (count > 0 && same_count == count)
        text_add(out, steps[0]);
    for (size_t i = 0; i < count && same_count < count; i++) {
        bool is_new = true;
        for (size_t k = 0; k < i; k++)
            is_new = is_new && strcmp(steps[k], steps[i]) != 0;
        if (is_new)
            text_addf(out, "%s%s", i > 0 ? ", " : "", steps[i]);
        for (size_t k = i, told = 0; k < count && is_new; k++)
            if (strcmp(steps[k], steps[i]) == 0)
                text_addf(out, "%s%s", told++ == 0 ? " at " : " and ", show_operating(view->at, points[k]).text);
    }
}

/* What compare says where a part of the uncertainty is not known; the sentence here says the first half. */
#define NO_INTERVAL "no interval: "

/* Whether the intervals bear the ranking out. */
static void add_certainty(struct text *out, const struct view *view)
{
    size_t unclear_count = 0, sure_count = 0, missing_count = 0;
    const char *reason = "";
    for (size_t i = 0; i < view->value_count; i++) {
        size_t variant = 0;
        const struct comparison *item = rank_rival(view, view->values[i], &variant);
        if (!item)
            continue;
        missing_count += item->verdict == COMPARE_UNKNOWN;
        reason = item->verdict == COMPARE_UNKNOWN && !reason[0] ? item->reason : reason;
        unclear_count += item->verdict == COMPARE_UNCLEAR;
        sure_count += compare_verdict_is_clear(item->verdict);
    }
    if (sure_count > 0 && unclear_count + missing_count == 0) {
        text_add(out, "The intervals leave 0 out at every point, so the difference is real for these recordings: ");
        add_steps(out, view);
        text_add(out, ". ");
    } else if (sure_count > 0 && unclear_count > 0)
        text_add(out, "At some points the interval holds 0: there the difference is not told from the scatter. ");
    else if (unclear_count > 0)
        text_add(out, "The interval of the two quietest holds 0: the recordings do not tell these two apart. ");
    if (missing_count > 0)
        text_addf(out, "%s (%s), so nobody can say how sure the difference is%s. ",
                  sure_count + unclear_count > 0 ? "At the other points there is no interval" : "There is no interval",
                  reason[0]
                      ? reason + (strncmp(reason, NO_INTERVAL, strlen(NO_INTERVAL)) == 0 ? strlen(NO_INTERVAL) : 0)
                      : "no repeats, or too few runs",
                  sure_count + unclear_count > 0 ? " there" : "");
}

/* Where the quantity that matters most gave nothing, so that the answer is by another. */
static void add_main_refused(struct text *out, const struct view *view)
{
    const struct comparison *first = &view->results->comparisons.items[0];
    if (first->at == view->at)
        return;
    text_addf(out, "At equal %s no levels can be compared (%s); at equal %s they can, which is not the same question. ",
              operating_name(first->at), first->reason[0] ? first->reason : "refused", operating_name(view->at));
}

/* What all levels of the campaign lack. */
static void add_reservations(const struct view *view, struct document *document)
{
    const struct campaign *campaign = view->results->campaign;
    size_t without_count = 0;
    for (size_t i = 0; i < campaign->microphone_count; i++)
        without_count += !campaign->microphones[i].background;
    if (!view->results->is_absolute)
        document_add(document, BLOCK_ITEM,
                     "Levels are relative (dBFS, no calibration): only differences between recordings of the same gain "
                     "mean anything.");
    if (without_count > 0)
        document_add(document, BLOCK_ITEM,
                     "No background was recorded%s, so none is taken off: other sound of the place is in the levels, "
                     "and makes rotors look more alike.",
                     without_count < campaign->microphone_count ? " at some microphones" : "");
}

static void add_compared(const struct view *view, struct document *document)
{
    struct text out = { 0 };
    bool is_ranked = !is_nothing_clear(view);
    add_main_refused(&out, view);
    for (size_t i = 0; i < view_variant_count(view) && is_ranked; i++)
        add_ranking(&out, view, i);
    if (is_ranked)
        add_certainty(&out, view);
    else
        add_nothing_clear(&out, view);
    add_left_out(&out, view);
    double at = view_middle_point(view);
    size_t first = rank_quietest(view, at), explained = first;
    if (first == view->results->reference)
        rank_rival(view, at, &explained);
    const struct comparison *difference = view_comparison(view, at, LAEQ, ABSENT, explained);
    bool is_explained = is_ranked && difference && difference->verdict != COMPARE_UNCLEAR;
    if (is_explained)
        why_add_short(view, at, explained, &out);
    if (out.data)
        document_add(document, BLOCK_LEAD, "%s", out.data);
    document->failed = document->failed || out.failed;
    text_clear(&out);
    answer_missing_points_add(view, document);
    warnings_add(view, document);
    if (first < view_variant_count(view))
        answer_items_add(view, document, &(struct answer){ at, first, explained, is_ranked, is_explained });
    answer_missing_runs_add(view, document);
}

void answer_add(const struct view *view, struct document *document)
{
    if (view->is_compared) {
        add_compared(view, document);
    } else {
        answer_plain_add(view, document);
        warnings_add(view, document);
    }
    add_reservations(view, document);
}
