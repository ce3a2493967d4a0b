/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_VIEW_H
#define THRUM_REPORT_VIEW_H

/* What the report looks at first: the operating quantity and the points that the comparisons are about, and the
 * microphone whose figures stand for a variant. Borrows the results. */

#include "compare/results.h"
#include "report/style.h"

#include <stdbool.h>
#include <stddef.h>

#define VIEW_POINTS_MAX 64
#define VIEW_VARIANTS_MAX 1024 /* a campaign holds at most 1000 */
#define VIEW_SHOWN_MAX LOOK_COUNT

struct view {
    const struct results *results;
    enum operating_quantity at; /* of the first comparison that was not refused, else of the first, else that which most
                                 * usable runs have; of equals the first in operating_order */
    const char *microphone;     /* NULL: runs name none */
    bool has_many_microphones;
    /* Which figures stand for a variant: those of the main microphone, or, where it has none of it, of another. The
     * second is as comparisons name it, "a / b" where variant and reference differ. */
    const char *run_microphone[VIEW_VARIANTS_MAX], *pair_microphone[VIEW_VARIANTS_MAX];
    /* Where the comparisons of a variant by the main quantity lie in the list: from first up to, without, end. */
    size_t first_comparison[VIEW_VARIANTS_MAX], end_comparison[VIEW_VARIANTS_MAX];
    double same_point_ratio; /* points are told as one up to here: where runs coincide, within what coincides */
    bool is_compared;        /* at least one A-level difference was not refused */
    double values[VIEW_POINTS_MAX];
    size_t value_count; /* points compared at, else at most six of those that runs cluster at; ascending */
    size_t shown[VIEW_SHOWN_MAX], shown_count; /* variants in pictures and tables (shown.h), in the campaign's order */
    size_t looks[VIEW_VARIANTS_MAX];           /* of each variant (style.h); LOOK_OTHERS where it is not shown */
};

void view_make(const struct results *results, struct view *out);

/* The middle one of the points: what a report tells where it tells of one point only. There must be a point. */
double view_middle_point(const struct view *view);
bool view_is_middle(const struct view *view, size_t point);

size_t view_variant_count(const struct view *view);
const struct variant *view_variant(const struct view *view, size_t index);
size_t view_variant_of(const struct view *view, const char *name); /* variant count when there is none */
bool view_has_variant_runs(const struct view *view, size_t variant);
bool view_has_others(const struct view *view); /* not all variants are shown */
bool view_is_shown(const struct view *view, size_t variant);
size_t view_look(const struct view *view, size_t variant); /* LOOK_NONE where there is no such variant */

/* A value of one variant at a point, from the comparisons; of the reference too. False when there is none. */
struct view_value {
    double value, low, high; /* 95 % interval, ABSENT where not known */
};
bool view_value(const struct view *view, double at, const char *quantity, double band_hz, size_t variant,
                struct view_value *out) MUST_CHECK;

/* The comparison that stands for the variant; NULL when there is none. */
const struct comparison *view_comparison(const struct view *view, double at, const char *quantity, double band_hz,
                                         size_t variant);
/* Whether `value` of the main quantity is the point `at`. */
bool view_is_at(const struct view *view, double value, double at);
/* Whether figures of `microphone` stand for the variant: those of runs, curves and equal levels; those of comparisons,
 * budget and contributions. No name stands for any. */
bool view_is_of_runs(const struct view *view, size_t variant, const char *microphone);
bool view_is_of_pairs(const struct view *view, size_t variant, const char *microphone);

double view_operating(const struct view *view, const struct run_result *run);

/* The run that stands for a variant at a point in pictures: the usable run of its microphone nearest to the run of
 * the reference there (so that pictures compare like with like), the reference's nearest to the point; good ones before
 * doubtful ones. NULL when none is near. Whoever shows it says where it was measured. */
const struct run_result *view_run(const struct view *view, size_t variant, double at);

/* Usable, of this variant and the microphone that stands for it. */
bool view_counts(const struct view *view, const struct run_result *run, size_t variant);

/* Runs of a variant within 4 % of an operating value are its repeats there. */
bool view_is_repeat(const struct view *view, size_t variant, double at, const struct run_result *run);

/* Whether the run of that index is the first of its operating point of the variant. */
bool view_begins_point(const struct view *view, size_t variant, size_t run_index);

#endif
