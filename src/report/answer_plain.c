/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/answer.h"

#include "base/absent.h"
#include "report/sections.h"
#include "report/show.h"

#include <math.h>

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
    else if (with_runs == 1)
        document_add(document, BLOCK_LEAD,
                     "Only one of the rotors has recordings that can be used, so nothing can be "
                     "compared. What is wrong with the others is listed under Findings.");
    else if (!view_has_variant_runs(view, view->results->reference))
        document_add(document, BLOCK_LEAD,
                     "No comparison can be made: the reference, %s, has no recording that can be used. What is wrong "
                     "with it is listed under Findings; --reference names another.",
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
    add_ranges(view, document);
}
