/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/difference.h"

#include "base/absent.h"
#include "compare/scatter.h"

#include <math.h>
#include <stdio.h>

#define CONFIDENCE 0.95

static double own_unit(enum quantity_kind kind, double y)
{
    return quantity_is_logarithmic(kind) ? exp(y) : y;
}

/* The interval of one fitted value, without what both have in common; a bound has no lower end but that of the
 * quantity.
 */
static void own_interval(const struct grid *grid, const struct cell *cell, const struct estimate *estimate, double *low,
                         double *high)
{
    struct uncertainty sum = estimate_uncertainty(grid, cell, estimate);
    double standard = sum.standard;
    double factor = estimate->is_upper_bound ? student_factor_one_sided(sum.degrees_of_freedom, CONFIDENCE)
                                             : student_factor_two_sided(sum.degrees_of_freedom, CONFIDENCE);
    enum quantity_kind kind = grid->quantity.kind;
    *high = own_unit(kind, estimate->y + factor * standard);
    *low = estimate->is_upper_bound ? own_unit(kind, -HUGE_VAL) : own_unit(kind, estimate->y - factor * standard);
    if (quantity_is_never_negative(kind))
        *low = fmax(*low, 0);
}

static void add_scatter(const struct side *side, struct uncertainty scatter, struct component *component)
{
    component->standard = side->sensitivity * scatter.standard * sqrt(side->estimate->leverage);
    component->degrees_of_freedom = scatter.degrees_of_freedom;
    snprintf(component->name, sizeof component->name, "scatter of %d %s of %s", side->estimate->run_count,
             side->estimate->run_count == 1 ? "run" : "runs", side->variant->name);
}

/* A scatter that both share is one component: its parts have the same degrees of freedom, not each their own. */
static void scatter_components(const struct grid *grid, const struct cell *const cells[2], const struct side sides[2],
                               struct difference *out)
{
    struct component parts[2] = { 0 };
    for (int i = 0; i < 2; i++)
        add_scatter(&sides[i], grid_scatter(grid, cells[i], sides[i].estimate), &parts[i]);
    bool are_means = grid->scatter.lacks_fit && !sides[0].estimate->is_of_law;
    if (!grid->scatter.is_pooled || are_means) {
        out->components[out->component_count++] = parts[0];
        out->components[out->component_count++] = parts[1];
        return;
    }
    struct component *both = &out->components[out->component_count++];
    *both = (struct component){ .standard = hypot(parts[0].standard, parts[1].standard),
                                .degrees_of_freedom = grid->scatter.pooled.degrees_of_freedom };
    snprintf(both->name, sizeof both->name, "scatter of the runs, pooled over variants");
}

static struct uncertainty sum_of(const struct difference *difference)
{
    struct uncertainty parts[COMPONENT_MAX];
    size_t count = 0;
    for (size_t i = 0; i < difference->component_count; i++)
        if (!difference->components[i].cancels)
            parts[count++] = (struct uncertainty){ difference->components[i].standard,
                                                   difference->components[i].degrees_of_freedom };
    return uncertainty_sum(parts, count);
}

static void interval(const struct estimate *variant, const struct estimate *reference, struct difference *out)
{
    struct uncertainty sum = sum_of(out);
    bool one_sided = variant->is_upper_bound || reference->is_upper_bound;
    double factor = one_sided ? student_factor_one_sided(sum.degrees_of_freedom, CONFIDENCE)
                              : student_factor_two_sided(sum.degrees_of_freedom, CONFIDENCE);
    double reach = factor * sum.standard;
    out->low = variant->is_upper_bound ? -HUGE_VAL : out->value - reach;
    out->high = reference->is_upper_bound ? HUGE_VAL : out->value + reach;
    if (!is_given(reach)) {
        out->low = out->high = out->probability = ABSENT;
        return;
    }
    if (!(sum.standard > 0)) {
        out->probability = out->value == 0 ? 1 : 0;
        return;
    }
    double two_sided = student_tail_two_sided(out->value / sum.standard, sum.degrees_of_freedom);
    bool speaks = variant->is_upper_bound ? out->value < 0 : out->value > 0;
    out->probability = !one_sided ? two_sided : speaks ? two_sided / 2 : 1 - two_sided / 2;
}

/* Figures of hearing are of the sound where the microphone stands. Distances within this ratio are one: 0.4 dB, 3 % in
 * loudness (common practice). */
#define SAME_DISTANCE_RATIO 1.05

static bool are_heard_alike(const struct side sides[2], struct difference *out)
{
    double ours = sides[0].microphone->distance_m, theirs = sides[1].microphone->distance_m;
    if (!is_given(ours) || !is_given(theirs) || fmax(ours, theirs) <= SAME_DISTANCE_RATIO * fmin(ours, theirs))
        return true;
    snprintf(out->reason, sizeof out->reason,
             "heard at %.3g m and at %.3g m: such figures are of the sound where the microphone stands", ours, theirs);
    return false;
}

static bool may_be_compared(const struct side sides[2], enum quantity_kind kind, struct difference *out)
{
    if (sides[0].estimate->is_upper_bound && sides[1].estimate->is_upper_bound) {
        snprintf(out->reason, sizeof out->reason, "both levels are only upper bounds: too near the background");
        return false;
    }
    if (sides[0].microphone == sides[1].microphone)
        return true;
    if (!quantity_is_level(kind))
        return quantity_is_share(kind) || are_heard_alike(sides, out);
    if (!sides[0].run->is_absolute || !sides[1].run->is_absolute) {
        snprintf(out->reason, sizeof out->reason,
                 "recorded with different microphones of which not both are calibrated");
        return false;
    }
    return true;
}

static void explain_missing_interval(struct difference *out)
{
    for (size_t i = 0; i < out->component_count; i++)
        if (!out->components[i].cancels && !is_given(out->components[i].standard)) {
            snprintf(out->reason, sizeof out->reason, "no interval: unknown size of %s", out->components[i].name);
            return;
        }
}

void difference_own_values(const struct grid *grid, const struct cell *variant_cell, const struct cell *reference_cell,
                           const struct estimate *variant, const struct estimate *reference, struct difference *out)
{
    enum quantity_kind kind = grid->quantity.kind;
    if (variant->is_given) {
        out->variant_value = own_unit(kind, variant->y);
        out->variant_run_count = variant->run_count;
        own_interval(grid, variant_cell, variant, &out->variant_low, &out->variant_high);
    }
    if (reference->is_given) {
        out->reference_value = own_unit(kind, reference->y);
        out->reference_run_count = reference->run_count;
        own_interval(grid, reference_cell, reference, &out->reference_low, &out->reference_high);
    }
}

/* One that counts and is known as well as it ever will be. */
static void add_certain(struct difference *out, double standard, const char *name)
{
    struct component *component = &out->components[out->component_count++];
    *component = (struct component){ .standard = standard, .degrees_of_freedom = HUGE_VAL };
    snprintf(component->name, sizeof component->name, "%s", name);
}

/* A shared one has the same degrees of freedom on both sides, and so has their sum: as with the scatter. */
static void add_deviation(const struct grid *grid, const struct cell *const cells[2], const struct side sides[2],
                          struct difference *out)
{
    struct uncertainty parts[2];
    for (int i = 0; i < 2; i++) {
        parts[i] = grid_deviation(grid, cells[i]);
        parts[i].standard *= sides[i].sensitivity;
    }
    struct uncertainty sum = uncertainty_sum(parts, 2);
    if (grid->scatter.is_pooled)
        sum.degrees_of_freedom = parts[0].degrees_of_freedom;
    if (!(sum.standard > 0))
        return;
    struct component *component = &out->components[out->component_count++];
    *component = (struct component){ .standard = sum.standard, .degrees_of_freedom = sum.degrees_of_freedom };
    snprintf(component->name, sizeof component->name, "points that do not follow a smooth law");
}

void difference_compute(const struct campaign *campaign, const struct run_result *runs, const struct grid *grid,
                        const struct cell *variant_cell, const struct cell *reference_cell,
                        const struct estimate *variant, const struct estimate *reference, double mismatch_db,
                        struct difference *out)
{
    *out = (struct difference){ .value = ABSENT, .low = ABSENT, .high = ABSENT, .probability = ABSENT };
    enum quantity_kind kind = grid->quantity.kind;
    const struct cell *cells[2] = { variant_cell, reference_cell };
    const struct estimate *estimates[2] = { variant, reference };
    struct side sides[2];
    for (int i = 0; i < 2; i++)
        sides[i] = (struct side){
            .variant = &campaign->variants[cells[i]->variant],
            .microphone = &campaign->microphones[cells[i]->microphone],
            .run = &runs[cells[i]->samples[0].run],
            .estimate = estimates[i],
            .sensitivity = quantity_is_logarithmic(kind) ? exp(estimates[i]->y) : 1,
        };
    difference_own_values(grid, variant_cell, reference_cell, variant, reference, out);
    out->is_curved = variant->is_curved || reference->is_curved;
    if (!may_be_compared(sides, kind, out))
        return;
    out->is_given = true;
    out->value = out->variant_value - out->reference_value;
    scatter_components(grid, cells, sides, out);
    double per_db = quantity_per_gain_db(kind);
    if (mismatch_db > 0 && is_given(per_db) && per_db > 0)
        add_certain(
            out,
            uncertainty_rectangular(mismatch_db * per_db * (sides[0].sensitivity + sides[1].sensitivity) / 2).standard,
            "operating points that do not quite coincide");
    double bend = sides[0].sensitivity * variant->curvature - sides[1].sensitivity * reference->curvature;
    if (grid->scatter.knows_curvature && fabs(bend) > 0)
        add_certain(out, uncertainty_rectangular(bend).standard, "curvature that the runs can't tell from a line");
    if (variant->is_of_law)
        add_deviation(grid, cells, sides, out);
    double placing = hypot(sides[0].sensitivity * variant->placing, sides[1].sensitivity * reference->placing);
    if (placing > 0)
        add_certain(out, placing, "where tones lie in the band, and how strong they are");
    budget_type_b(&sides[0], &sides[1], grid, out->components, &out->component_count);
    explain_missing_interval(out);
    interval(variant, reference, out);
}
