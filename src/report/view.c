/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/view.h"

#include "base/absent.h"
#include "compare/law.h"
#include "compare/operating.h"
#include "report/shown.h"

#include <math.h>
#include <string.h>

double view_middle_point(const struct view *view)
{
    return view->values[(view->value_count - 1) / 2];
}

bool view_is_middle(const struct view *view, size_t point)
{
    return point == (view->value_count - 1) / 2;
}

size_t view_variant_count(const struct view *view)
{
    return view->results->campaign->variant_count;
}

const struct variant *view_variant(const struct view *view, size_t index)
{
    return &view->results->campaign->variants[index];
}

size_t view_variant_of(const struct view *view, const char *name)
{
    size_t count = view_variant_count(view);
    for (size_t i = 0; name && i < count; i++)
        if (strcmp(view_variant(view, i)->name, name) == 0)
            return i;
    return count;
}

bool view_has_others(const struct view *view)
{
    return view->shown_count < view_variant_count(view);
}

bool view_is_shown(const struct view *view, size_t variant)
{
    return variant < view_variant_count(view) && view->looks[variant] != LOOK_OTHERS;
}

size_t view_look(const struct view *view, size_t variant)
{
    return variant < view_variant_count(view) ? view->looks[variant] : LOOK_NONE;
}

static bool is_named(const char *wanted, const char *microphone)
{
    return !wanted || !microphone || !microphone[0] || strcmp(microphone, wanted) == 0;
}

bool view_is_of_runs(const struct view *view, size_t variant, const char *microphone)
{
    return variant < VIEW_VARIANTS_MAX && is_named(view->run_microphone[variant], microphone);
}

bool view_is_of_pairs(const struct view *view, size_t variant, const char *microphone)
{
    return variant < VIEW_VARIANTS_MAX && is_named(view->pair_microphone[variant], microphone);
}

double view_operating(const struct view *view, const struct run_result *run)
{
    size_t variant = view_variant_of(view, run->variant);
    if (variant == view_variant_count(view))
        return ABSENT;
    double value = operating_value(run, view_variant(view, variant), view->at);
    return value > 0 ? value : ABSENT;
}

static bool is_usable(const struct run_result *run)
{
    return !run->error[0] && run_result_verdict(run) != SEVERITY_UNUSABLE;
}

bool view_counts(const struct view *view, const struct run_result *run, size_t variant)
{
    return is_usable(run) && view_variant_of(view, run->variant) == variant &&
           view_is_of_runs(view, variant, run->microphone);
}

bool view_has_variant_runs(const struct view *view, size_t variant)
{
    for (size_t i = 0; i < view->results->run_count; i++)
        if (view_counts(view, &view->results->runs[i], variant))
            return true;
    return false;
}

/* The microphone of the first comparison, else that of the first usable run, of the reference if it has one. */
static void choose_microphone(struct view *view)
{
    const struct results *results = view->results;
    bool is_of_reference = false;
    for (size_t i = 0; i < results->run_count; i++) {
        const char *name = results->runs[i].microphone;
        bool is_reference = view_variant_of(view, results->runs[i].variant) == results->reference;
        if (!name)
            continue;
        view->has_many_microphones =
            view->has_many_microphones ||
            strcmp(name, results->runs[0].microphone ? results->runs[0].microphone : name) != 0;
        if (!is_usable(&results->runs[i]) || (view->microphone && (is_of_reference || !is_reference)))
            continue;
        view->microphone = name;
        is_of_reference = is_reference;
    }
    if (results->comparisons.count > 0 && results->comparisons.items[0].microphone[0])
        for (size_t i = 0; i < results->campaign->microphone_count; i++)
            if (strcmp(results->campaign->microphones[i].name, results->comparisons.items[0].microphone) == 0)
                view->microphone = results->campaign->microphones[i].name;
}

/* Takes `name` where the variant has no microphone yet, or now the main one. */
static void choose_for(const struct view *view, const char **place, const char *name)
{
    if (!*place || (view->microphone && strcmp(name, view->microphone) == 0))
        *place = name;
}

static void choose_variant_microphones(struct view *view)
{
    const struct comparisons *all = &view->results->comparisons;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        size_t variant = view_variant_of(view, run->variant);
        if (variant < VIEW_VARIANTS_MAX && run->microphone && is_usable(run))
            choose_for(view, &view->run_microphone[variant], run->microphone);
    }
    for (size_t i = 0; i < all->count; i++) {
        size_t variant = view_variant_of(view, all->items[i].variant);
        if (variant < VIEW_VARIANTS_MAX && all->items[i].microphone[0] && all->items[i].verdict != COMPARE_REFUSED)
            choose_for(view, &view->pair_microphone[variant], all->items[i].microphone);
    }
}

static size_t count_with(const struct view *view, enum operating_quantity at)
{
    struct view trial = *view;
    size_t count = 0;
    trial.at = at;
    for (size_t i = 0; i < view->results->run_count; i++)
        count += is_usable(&view->results->runs[i]) && is_given(view_operating(&trial, &view->results->runs[i]));
    return count;
}

static void choose_quantity(struct view *view)
{
    const struct comparisons *all = &view->results->comparisons;
    for (size_t i = 0; i < all->count; i++)
        if (strcmp(all->items[i].quantity, "LAeq_db") == 0 && all->items[i].verdict != COMPARE_REFUSED) {
            view->at = all->items[i].at;
            return;
        }
    if (all->count > 0) {
        view->at = all->items[0].at;
        return;
    }
    size_t most = 0;
    for (size_t i = 0; i < OPERATING_QUANTITY_COUNT; i++) {
        size_t count = count_with(view, operating_order[i]);
        if (count > most) {
            most = count;
            view->at = operating_order[i];
        }
    }
}

/* Adds a value in order unless one within `ratio` is there. */
static void add_value(struct view *view, double value, double ratio)
{
    size_t place = 0;
    for (size_t i = 0; i < view->value_count; i++) {
        if (fabs(value / view->values[i] - 1) <= ratio)
            return;
        place += view->values[i] < value;
    }
    if (view->value_count == VIEW_POINTS_MAX)
        return;
    memmove(&view->values[place + 1], &view->values[place], (view->value_count - place) * sizeof *view->values);
    view->values[place] = value;
    view->value_count++;
}

/* Keeps `most` of the points, evenly spread, first and last among them. */
static void thin(struct view *view, size_t most)
{
    size_t count = view->value_count;
    if (count <= most)
        return;
    for (size_t i = 0; i < most; i++)
        view->values[i] = view->values[i * (count - 1) / (most - 1)];
    view->value_count = most;
}

#define PICTURED_POINTS_MAX 6
#define EXACT_RATIO 1e-6

/* Without fits each pair of variants is compared where its own runs coincide, at values that differ a little. */
static void choose_ratio(struct view *view)
{
    const struct comparisons *all = &view->results->comparisons;
    size_t fitted_count = 0;
    for (size_t i = 0; i < all->count; i++)
        fitted_count += all->items[i].at == view->at && all->items[i].verdict != COMPARE_REFUSED &&
                        strcmp(all->items[i].basis, "same points") != 0;
    view->same_point_ratio = fitted_count > 0 ? EXACT_RATIO : SAME_POINT_RATIO - 1;
}

bool view_is_at(const struct view *view, double value, double at)
{
    return fabs(value / at - 1) <= view->same_point_ratio;
}

/* The points at which levels were compared; where all were refused, those. */
static void choose_compared_points(struct view *view)
{
    const struct comparisons *all = &view->results->comparisons;
    for (int pass = 0; pass < 2 && view->value_count == 0; pass++)
        for (size_t i = 0; i < all->count; i++) {
            const struct comparison *item = &all->items[i];
            bool is_told = item->verdict != COMPARE_REFUSED || (pass > 0 && is_given(item->value));
            if (item->at != view->at || strcmp(item->quantity, "LAeq_db") != 0 || !is_told)
                continue;
            view->is_compared = view->is_compared || item->verdict != COMPARE_REFUSED;
            add_value(view, item->value, view->same_point_ratio);
        }
}

#define REPEATS_RATIO 0.04
#define PICTURES_RATIO 0.15 /* of several variants: the same runs would stand for nearer points */

/* Without comparisons: where runs are. */
static void choose_measured_points(struct view *view)
{
    size_t with_runs = 0;
    for (size_t v = 0; v < view_variant_count(view); v++)
        with_runs += view_has_variant_runs(view, v);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        double value = is_usable(run) ? view_operating(view, run) : ABSENT;
        if (is_given(value))
            add_value(view, value, with_runs > 1 ? PICTURES_RATIO : REPEATS_RATIO);
    }
    thin(view, PICTURED_POINTS_MAX);
}

static void find_comparisons(struct view *view)
{
    const struct comparisons *all = &view->results->comparisons;
    for (size_t i = 0; i < all->count; i++) {
        size_t variant = view_variant_of(view, all->items[i].variant);
        if (all->items[i].at != view->at || variant >= VIEW_VARIANTS_MAX)
            continue;
        if (view->end_comparison[variant] == 0)
            view->first_comparison[variant] = i;
        view->end_comparison[variant] = i + 1;
    }
}

void view_make(const struct results *results, struct view *out)
{
    *out = (struct view){ .results = results, .at = OPERATING_RPM };
    choose_microphone(out);
    choose_variant_microphones(out);
    choose_quantity(out);
    find_comparisons(out);
    choose_ratio(out);
    choose_compared_points(out);
    if (out->value_count == 0)
        choose_measured_points(out);
    shown_choose(out);
}

static bool is_same(double a, double b)
{
    return (!is_given(a) && !is_given(b)) || fabs(a - b) <= EXACT_RATIO * fabs(b);
}

static bool matches(const struct view *view, const struct comparison *item, double at, const char *quantity,
                    double band_hz)
{
    return item->at == view->at && view_is_at(view, item->value, at) && strcmp(item->quantity, quantity) == 0 &&
           is_same(item->band_hz, band_hz) &&
           view_is_of_pairs(view, view_variant_of(view, item->variant), item->microphone);
}

/* Where a fit was refused and the runs coincide, the latter. */
const struct comparison *view_comparison(const struct view *view, double at, const char *quantity, double band_hz,
                                         size_t variant)
{
    const struct comparisons *all = &view->results->comparisons;
    const struct comparison *refused = NULL;
    if (variant >= VIEW_VARIANTS_MAX)
        return NULL;
    for (size_t i = view->first_comparison[variant]; i < view->end_comparison[variant]; i++) {
        const struct comparison *item = &all->items[i];
        if (!matches(view, item, at, quantity, band_hz) || view_variant_of(view, item->variant) != variant)
            continue;
        if (item->verdict != COMPARE_REFUSED)
            return item;
        refused = refused ? refused : item;
    }
    return refused;
}

/* Whether the reference's value in a comparison is of the microphone that stands for the reference. */
static bool is_reference_there(const struct view *view, const struct comparison *item)
{
    const char *apart = strstr(item->microphone, " / ");
    return view_is_of_runs(view, view->results->reference, apart ? apart + 3 : item->microphone);
}

bool view_value(const struct view *view, double at, const char *quantity, double band_hz, size_t variant,
                struct view_value *out)
{
    const struct comparisons *all = &view->results->comparisons;
    bool is_reference = variant == view->results->reference; /* its values are in the comparisons of the others */
    if (variant >= VIEW_VARIANTS_MAX)
        return false;
    for (size_t i = is_reference ? 0 : view->first_comparison[variant];
         i < (is_reference ? all->count : view->end_comparison[variant]); i++) {
        const struct comparison *item = &all->items[i];
        if (!matches(view, item, at, quantity, band_hz))
            continue;
        if (view_variant_of(view, item->variant) == variant && is_given(item->variant_value))
            *out = (struct view_value){ item->variant_value, item->variant_ci95_low, item->variant_ci95_high };
        else if (view_variant_of(view, item->reference) == variant && is_given(item->reference_value) &&
                 is_reference_there(view, item))
            *out = (struct view_value){ item->reference_value, item->reference_ci95_low, item->reference_ci95_high };
        else
            continue;
        return true;
    }
    return false;
}

/* Furthest that a run may stand from a point and still be shown for it, as a ratio. */
#define NEAREST_RATIO 1.35

static const struct run_result *nearest_run(const struct view *view, size_t variant, double at)
{
    const struct run_result *best = NULL;
    double best_distance = log(NEAREST_RATIO);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        double distance = fabs(log(view_operating(view, run) / at));
        if (!view_counts(view, run, variant) || !(distance <= log(NEAREST_RATIO)))
            continue;
        /* A doubtful run stands behind a good one that is not much further away. */
        distance += run_result_verdict(run) == SEVERITY_NOTE ? 0 : 0.05;
        if (!best || distance < best_distance) {
            best = run;
            best_distance = distance;
        }
    }
    return best;
}

const struct run_result *view_run(const struct view *view, size_t variant, double at)
{
    const struct run_result *reference = nearest_run(view, view->results->reference, at);
    if (!reference || variant == view->results->reference)
        return variant == view->results->reference ? reference : nearest_run(view, variant, at);
    return nearest_run(view, variant, view_operating(view, reference));
}

bool view_is_repeat(const struct view *view, size_t variant, double at, const struct run_result *run)
{
    return view_counts(view, run, variant) && fabs(view_operating(view, run) / at - 1) <= REPEATS_RATIO;
}

bool view_begins_point(const struct view *view, size_t variant, size_t run_index)
{
    const struct run_result *runs = view->results->runs;
    double at = view_operating(view, &runs[run_index]);
    if (!view_counts(view, &runs[run_index], variant) || !is_given(at))
        return false;
    for (size_t i = 0; i < run_index; i++)
        if (view_is_repeat(view, variant, at, &runs[i]))
            return false;
    return true;
}
