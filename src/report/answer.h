/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_ANSWER_H
#define THRUM_REPORT_ANSWER_H

/* What the summary says in words. */

#include "report/document.h"
#include "report/view.h"

/* The answer: which rotor is quietest, by how much, how sure, why; then what must not wait (warnings.h), then its
 * items. */
void answer_add(const struct view *view, struct document *document);

/* The same where nothing was compared: why not, and how loud each rotor is at the ends of its range. */
void answer_plain_add(const struct view *view, struct document *document);

/* What the answer leaves open: points that the campaign asks for and nothing was compared at, each with the reason; and
 * usable runs of which the operating quantity is not known. */
void answer_missing_points_add(const struct view *view, struct document *document);
void answer_missing_runs_add(const struct view *view, struct document *document);

/* What the items are about. */
struct answer {
    double at;               /* the middle point */
    size_t first, explained; /* the quietest variant there, and the one whose difference from the reference is told */
    bool is_ranked;
    bool is_explained; /* that difference is told from the scatter, so that it has causes to tell */
};

/* A short item each: the next quietest, how it sounds, what the difference is made of, points at equal level. */
void answer_items_add(const struct view *view, struct document *document, const struct answer *answer);

#endif
