/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/answer.h"

#include "base/absent.h"
#include "base/text.h"
#include "compare/operating.h"
#include "report/show.h"

#include <math.h>
#include <string.h>

#define POINTS_TOLD_MAX 3
#define NAMES_TOLD_MAX 3

static bool is_of_point(const struct comparison *item, const struct compare_point *point)
{
    return item->at == point->quantity && fabs(item->value - point->value) <= 1e-9 * point->value &&
           strcmp(item->quantity, "LAeq_db") == 0;
}

/* Why nothing was compared at a point: the reason of the first pair; NULL where something was, or nobody says why. */
static const char *why_nothing(const struct comparisons *all, const struct compare_point *point)
{
    const char *reason = NULL;
    for (size_t i = 0; i < all->count; i++) {
        const struct comparison *item = &all->items[i];
        if (!is_of_point(item, point))
            continue;
        if (item->verdict != COMPARE_REFUSED)
            return NULL;
        reason = reason ? reason : item->reason;
    }
    return reason && reason[0] ? reason : NULL;
}

void answer_missing_points_add(const struct view *view, struct document *document)
{
    const struct campaign *campaign = view->results->campaign;
    size_t told_count = 0;
    for (size_t i = 0; i < campaign->compare_point_count; i++) {
        const struct compare_point *point = &campaign->compare_points[i];
        const char *reason = why_nothing(&view->results->comparisons, point);
        if (reason && told_count++ < POINTS_TOLD_MAX)
            document_add(document, BLOCK_WARNING,
                         "Not answered: at %s, which compare_at asks for, nothing could be "
                         "compared (%s).",
                         show_operating(point->quantity, point->value).text, reason);
    }
    if (told_count > POINTS_TOLD_MAX)
        document_add(document, BLOCK_WARNING, "Not answered: %zu more of the points that compare_at asks for.",
                     told_count - POINTS_TOLD_MAX);
}

void answer_missing_runs_add(const struct view *view, struct document *document)
{
    struct text names = { 0 };
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        if (run_result_verdict(run) == SEVERITY_UNUSABLE || is_given(view_operating(view, run)))
            continue;
        if (count++ < NAMES_TOLD_MAX)
            text_addf(&names, "%s%s", count > 1 ? ", " : "", run->file);
    }
    if (count > NAMES_TOLD_MAX)
        text_addf(&names, " and %zu more", count - NAMES_TOLD_MAX);
    if (count > 0 && names.data)
        document_add(document, BLOCK_ITEM, "%s: no %s is known of %s, so %s no part in what is compared at equal %s.",
                     names.data, operating_name(view->at), count == 1 ? "it" : "them",
                     count == 1 ? "it takes" : "they take", operating_name(view->at));
    document->failed = document->failed || names.failed;
    text_clear(&names);
}
