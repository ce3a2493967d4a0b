/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/answer.h"

#include "base/absent.h"
#include "base/text.h"
#include "compare/operating.h"
#include "report/sections.h"
#include "report/show.h"

#include <math.h>

#define POINTS_LEAST 3 /* of each rotor, for a curve; comparison.md */
#define RANGES_TOLD_MAX 3

/* Where a rotor was recorded. */
struct range {
    double low, high;
    size_t point_count;
};

static struct range range_of(const struct view *view, size_t variant)
{
    struct range range = { HUGE_VAL, -HUGE_VAL, 0 };
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        double at = view_operating(view, run);
        if (!view_counts(view, run, variant) || !is_given(at))
            continue;
        range.low = fmin(range.low, at);
        range.high = fmax(range.high, at);
        range.point_count += view_begins_point(view, variant, i);
    }
    return range;
}

static void add_range(struct text *out, const struct view *view, size_t variant, const struct range *range)
{
    text_addf(out, "%s was recorded at %zu %s", view_variant(view, variant)->name, range->point_count,
              range->point_count == 1 ? "point" : "points");
    if (range->point_count == 1)
        text_addf(out, ", %s", show_operating(view->at, range->low).text);
    else
        text_addf(out, " from %s to %s", show_operating(view->at, range->low).text,
                  show_operating(view->at, range->high).text);
}

/* What to record, where ranges do not meet or points are too few; of the first rotors of which that is so. */
static void add_what_to_record(const struct view *view, struct document *document)
{
    size_t reference = view->results->reference, told_count = 0;
    const struct range theirs = range_of(view, reference);
    for (size_t v = 0; v < view_variant_count(view) && told_count < RANGES_TOLD_MAX; v++) {
        const struct range ours = range_of(view, v);
        bool is_apart = ours.low > theirs.high || theirs.low > ours.high;
        bool is_few = ours.point_count < POINTS_LEAST || theirs.point_count < POINTS_LEAST;
        struct text out = { 0 };
        if (v == reference || ours.point_count == 0 || theirs.point_count == 0 || (!is_apart && !is_few))
            continue;
        told_count++;
        add_range(&out, view, v, &ours);
        text_add(&out, ", ");
        add_range(&out, view, reference, &theirs);
        if (is_apart)
            text_addf(&out, ": they have no %s in common. Record both at %d points or more over the same range.",
                      operating_name(view->at), POINTS_LEAST);
        else
            text_addf(&out, ": record each at %d points or more over the same range.", POINTS_LEAST);
        if (out.data)
            document_add(document, BLOCK_TEXT, "%s", out.data);
        document->failed = document->failed || out.failed;
        text_clear(&out);
    }
}

/* Rotors of the campaign that no row of the log is of. */
static size_t count_without_rows(const struct view *view)
{
    size_t count = 0;
    for (size_t v = 0; v < view_variant_count(view); v++) {
        bool has_row = false;
        for (size_t i = 0; i < view->results->run_count; i++)
            has_row = has_row || view_variant_of(view, view->results->runs[i].variant) == v;
        count += !has_row;
    }
    return count;
}

static void add_refusal(const struct view *view, struct document *document)
{
    const struct comparisons *all = &view->results->comparisons;
    const char *reason = "";
    size_t with_runs = 0;
    for (size_t i = 0; i < view_variant_count(view); i++)
        with_runs += view_has_variant_runs(view, i);
    for (size_t i = 0; i < all->count && !reason[0]; i++)
        if (all->items[i].verdict == COMPARE_REFUSED)
            reason = all->items[i].reason;
    if (with_runs == 0)
        document_add(document, BLOCK_LEAD,
                     "No recording of this campaign could be used, so nothing can be said about "
                     "its rotors. What is wrong with each is listed under Findings.");
    else if (view_variant_count(view) == 1)
        document_add(document, BLOCK_LEAD,
                     "This campaign holds one rotor, so there is nothing to compare it with: the "
                     "report shows how loud, how tonal and how it sounds.");
    else if (with_runs == 1 && count_without_rows(view) + 1 == view_variant_count(view))
        document_add(document, BLOCK_LEAD,
                     "Only one of the rotors has rows in the log, so there is nothing to compare it with: the report "
                     "shows how loud, how tonal and how it sounds.");
    else if (with_runs == 1)
        document_add(document, BLOCK_LEAD,
                     "Only one of the rotors has recordings that can be used, so nothing can be "
                     "compared. What is wrong with the others is listed under Findings.");
    else if (!view_has_variant_runs(view, view->results->reference))
        document_add(document, BLOCK_LEAD,
                     "No comparison can be made: the reference, %s, has no recording that can be used. What is wrong "
                     "with those that it has is listed under Findings; --reference names another.",
                     view_variant(view, view->results->reference)->name);
    else
        document_add(document, BLOCK_LEAD, "No comparison can be made between the rotors of this campaign%s%s.",
                     reason[0] ? ": " : "", reason);
}

/* Without a comparison: how loud each rotor is at the ends of its range. */
static void add_ranges(const struct view *view, struct document *document)
{
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        const struct run_result *low = NULL, *high = NULL;
        for (size_t i = 0; i < view->results->run_count; i++) {
            const struct run_result *run = &view->results->runs[i];
            double at = view_operating(view, run);
            if (!view_counts(view, run, v) || !is_given(at) || !isfinite(run_level_db(run)))
                continue;
            low = !low || at < view_operating(view, low) ? run : low;
            high = !high || at > view_operating(view, high) ? run : high;
        }
        if (!low)
            continue;
        const char *unit = show_level_unit(view->results);
        struct shown at_low = show_operating(view->at, view_operating(view, low));
        struct shown at_high = show_operating(view->at, view_operating(view, high));
        if (low == high)
            document_add(document, BLOCK_TEXT, "%s: LAeq %s %s at %s (%s).",
                         show_variant_whole(view_variant(view, v)).text, show_run_level(low).text, unit, at_low.text,
                         low->file);
        else
            document_add(document, BLOCK_TEXT, "%s: LAeq from %s at %s (%s) to %s at %s (%s), %s.",
                         show_variant_whole(view_variant(view, v)).text, show_run_level(low).text, at_low.text,
                         low->file, show_run_level(high).text, at_high.text, high->file, unit);
    }
}

void answer_plain_add(const struct view *view, struct document *document)
{
    add_refusal(view, document);
    add_what_to_record(view, document);
    add_ranges(view, document);
}
