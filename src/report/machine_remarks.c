/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/machine_remarks.h"

#include "base/memory.h"
#include "base/text.h"
#include "compare/operating.h"
#include "report/faults.h"
#include "report/gauge.h"

#include <stdlib.h>
#include <string.h>

#define LIKEWISE_MAX 4
#define SAME_POINT_RATIO 1.04 /* repeats, as view_is_repeat has them */
#define PAIRS_LEAST 6         /* of runs at different points, to say that a figure goes with them */
#define AGAINST_MOST 10       /* one pair in so many may go the other way */

/* A remark of one run. */
struct saying {
    size_t run;
    const char *remark;
    double at; /* operating value of the run */
    struct gauge gauge;
    bool has_gauge;
};

/* The runs that say the same but for their figures, in their order. */
struct chorus {
    struct saying *items; /* owned */
    size_t count;
    size_t worst, mildest; /* the first of each; the same where no figure tells them apart */
};

/* Remarks are gathered rotor by rotor; where not all rotors are shown, over all of them. */
static bool is_of_one(const struct view *view, const struct run_result *a, const struct run_result *b)
{
    return view_has_others(view) || (a->variant && b->variant && strcmp(a->variant, b->variant) == 0);
}

/* Run `index`'s remark that is `remark` of run `first` but for its figures, or NULL. */
static const char *alike_of(const struct view *view, size_t index, size_t first, const char *remark)
{
    const struct run_result *run = &view->results->runs[index];
    for (size_t i = 0; i < run->rotor.remark_count && is_of_one(view, run, &view->results->runs[first]); i++)
        if (told_alike(run->rotor.remarks[i], remark))
            return run->rotor.remarks[i];
    return NULL;
}

static void take(struct chorus *chorus, const struct saying *saying)
{
    chorus->items[chorus->count] = *saying;
    if (saying->has_gauge && gauge_is_worse(&saying->gauge, &chorus->items[chorus->worst].gauge))
        chorus->worst = chorus->count;
    if (saying->has_gauge && gauge_is_worse(&chorus->items[chorus->mildest].gauge, &saying->gauge))
        chorus->mildest = chorus->count;
    chorus->count++;
}

/* False for lack of memory. */
static bool gather(const struct view *view, size_t first, const char *remark, struct chorus *out)
{
    size_t run_count = view->results->run_count;
    *out = (struct chorus){ .items = memory_new(run_count - first, sizeof *out->items) };
    for (size_t i = first; out->items && i < run_count; i++) {
        const char *alike = i == first ? remark : alike_of(view, i, first, remark);
        struct saying saying = { .run = i, .remark = alike, .at = view_operating(view, &view->results->runs[i]) };
        if (!alike)
            continue;
        saying.has_gauge = gauge_of(alike, &saying.gauge);
        take(out, &saying);
    }
    return out->items != NULL;
}

/* 1: of two runs at different operating points the worse is, as a rule, at the higher one; -1: at the lower one; 0:
 * neither. */
static int course(const struct chorus *chorus)
{
    size_t up = 0, down = 0;
    for (size_t i = 0; i < chorus->count; i++)
        for (size_t j = 0; j < chorus->count; j++) {
            const struct saying *worse = &chorus->items[i], *other = &chorus->items[j];
            if (!worse->has_gauge || !other->has_gauge || !gauge_is_worse(&worse->gauge, &other->gauge))
                continue;
            up += worse->at > other->at * SAME_POINT_RATIO;
            down += other->at > worse->at * SAME_POINT_RATIO;
        }
    if (up + down < PAIRS_LEAST)
        return 0;
    return down * AGAINST_MOST <= up ? 1 : up * AGAINST_MOST <= down ? -1 : 0;
}

/* " (1.22 to 6.81 % off, the worse the higher the thrust)". */
static void add_range(const struct view *view, const struct chorus *chorus, struct text *out)
{
    const struct gauge *mildest = &chorus->items[chorus->mildest].gauge, *worst = &chorus->items[chorus->worst].gauge;
    if (chorus->mildest == chorus->worst)
        return;
    text_addf(out, " (%s to %s %s", mildest->figure, worst->figure, worst->words);
    int way = view_has_others(view) ? 0 : course(chorus);
    if (way != 0)
        text_addf(out, ", the worse the %s the %s", way > 0 ? "higher" : "lower", operating_name(view->at));
    text_add(out, ")");
}

/* " Likewise, with other figures (…): a.wav, b.wav and 3 more.": of the others that say the same; where they are
 * gathered over all rotors, the rotors. */
static void add_likewise(const struct view *view, const struct chorus *chorus, struct text *out)
{
    const struct run_result *runs = view->results->runs;
    const char *last = runs[chorus->items[chorus->worst].run].variant;
    size_t named_count = 0;
    for (size_t i = 0; i < chorus->count; i++) {
        const struct run_result *run = &runs[chorus->items[i].run];
        if (i == chorus->worst)
            continue;
        bool is_new = !view_has_others(view) || (last && run->variant && strcmp(last, run->variant) != 0);
        last = run->variant;
        if (!is_new || named_count++ >= LIKEWISE_MAX)
            continue;
        if (named_count == 1) {
            text_add(out, " Likewise, with other figures");
            add_range(view, chorus, out);
        }
        text_addf(out, "%s%s", named_count == 1 ? ": " : ", ", view_has_others(view) ? run->variant : run->file);
    }
    if (named_count > LIKEWISE_MAX)
        text_addf(out, " and %zu more", named_count - LIKEWISE_MAX);
    text_add(out, named_count > 0 ? "." : "");
}

/* A remark once, of the run where it is worst; of those that many runs share (`is_common`) or of the others only. */
static void add_remark(const struct view *view, struct document *document, size_t first, const char *remark,
                       bool is_common)
{
    struct text others = { 0 };
    struct chorus chorus;
    for (size_t i = 0; i < first; i++)
        if (alike_of(view, i, first, remark))
            return;
    bool ok = gather(view, first, remark, &chorus);
    if (ok && (chorus.count > LIKEWISE_MAX + 1) == is_common) {
        const struct saying *worst = &chorus.items[chorus.worst];
        add_likewise(view, &chorus, &others);
        document_add(document, BLOCK_ITEM, "%s: %s%s", view->results->runs[worst->run].file, worst->remark,
                     others.data ? others.data : "");
    }
    document->failed = document->failed || !ok || others.failed;
    free(chorus.items);
    text_clear(&others);
}

/* First what few runs say, so that it is not lost among what many do. */
void machine_remarks_add(const struct view *view, struct document *document)
{
    bool any = false;
    for (size_t i = 0; i < view->results->run_count; i++)
        any = any || view->results->runs[i].rotor.remark_count > 0;
    if (!any)
        return;
    document_add(document, BLOCK_HEADING, "What the tones say about the machines");
    for (int is_common = 0; is_common <= 1; is_common++)
        for (size_t i = 0; i < view->results->run_count; i++)
            for (size_t k = 0; k < view->results->runs[i].rotor.remark_count; k++)
                add_remark(view, document, i, view->results->runs[i].rotor.remarks[k], is_common == 1);
}
