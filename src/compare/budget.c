/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/budget.h"

#include "base/absent.h"
#include "base/text.h"
#include "base/units.h"
#include "compare/operating.h"

#include <math.h>

/* Level of the background during a run against its recording, standard uncertainty: common practice. */
#define BACKGROUND_STANDARD_DB 1.0

/* Half width of a distance laid out with a tape, part of the distance: common practice. */
#define DISTANCE_HALF_WIDTH 0.02

/* Half widths of the frequency weighting's limits, IEC 61672-1:2013 table 3, 125 Hz to 1.25 kHz: class 1 from memory,
 * class 2 verified. A wide reading: a given meter is better than its class. */
static double response_half_width_db(int meter_class)
{
    return meter_class == 1 ? 1.0 : meter_class == 2 ? 1.5 : ABSENT;
}

static void add(struct component *components, size_t *count, double standard, bool cancels, const char *format, ...)
    PRINTF_LIKE(5, 6);

static void add(struct component *components, size_t *count, double standard, bool cancels, const char *format, ...)
{
    if (*count == COMPONENT_MAX || (!cancels && !(fabs(standard) > 0) && is_given(standard)))
        return;
    struct component *component = &components[(*count)++];
    va_list args;
    va_start(args, format);
    text_fit_args(component->name, sizeof component->name, format, args);
    va_end(args);
    component->standard = fabs(standard);
    component->degrees_of_freedom = HUGE_VAL;
    component->cancels = cancels;
}

static double rectangular(double half_width)
{
    return uncertainty_rectangular(half_width).standard;
}

/* 20 lg(r) per relative error of r. */
static double distance_standard_db(void)
{
    return rectangular(20 / log(10) * DISTANCE_HALF_WIDTH);
}

/* Of one microphone's runs among themselves: the uncertainty of its gain, which cancels there, holds the drift too. */
static double drift_standard_db(const struct side *side)
{
    /* The drift seen between before and after lies anywhere between 0 and the whole: half width drift / 2. */
    double drift_db = side->run->gain_drift_db;
    return is_given(drift_db) ? rectangular(drift_db / 2) : 0;
}

static void same_microphone(const struct side *variant, const struct side *reference, double per_db,
                            struct component *components, size_t *count)
{
    const char *name = variant->microphone->name;
    double common = is_given(per_db) ? (variant->sensitivity - reference->sensitivity) * per_db : 0;
    double gain_db = variant->run->gain_uncertainty_db;
    if (!variant->run->is_absolute)
        add(components, count, ABSENT, true, "gain of microphone %s (not calibrated, taken as unchanged)", name);
    else if (is_given(gain_db) && fabs(common) > 0)
        add(components, count, common * gain_db, false, "calibration of microphone %s, on a difference of loudness",
            name);
    else
        add(components, count, gain_db, true, "calibration of microphone %s", name);
    add(components, count, rectangular(response_half_width_db(variant->microphone->meter_class)), true,
        "frequency response of microphone %s", name);
    add(components, count, distance_standard_db(), true, "distance and place of microphone %s", name);
    double drift = is_given(per_db) ? hypot(variant->sensitivity, reference->sensitivity) * per_db : 0;
    add(components, count, drift * drift_standard_db(variant), false, "calibration drift of microphone %s", name);
    add(components, count,
        variant->sensitivity * variant->estimate->background_per_db * BACKGROUND_STANDARD_DB -
            reference->sensitivity * reference->estimate->background_per_db * BACKGROUND_STANDARD_DB,
        false, "background correction (the same background)");
}

static void own_microphone(const struct side *side, double per_db, struct component *components, size_t *count)
{
    const char *name = side->microphone->name;
    double factor = side->sensitivity * per_db;
    add(components, count, factor * side->run->gain_uncertainty_db, false, "calibration of microphone %s", name);
    add(components, count, factor * rectangular(response_half_width_db(side->microphone->meter_class)), false,
        "frequency response of microphone %s", name);
    add(components, count, factor * distance_standard_db(), false, "distance of microphone %s", name);
    add(components, count, side->sensitivity * side->estimate->background_per_db * BACKGROUND_STANDARD_DB, false,
        "background correction at microphone %s", name);
}

void budget_type_b(const struct side *variant, const struct side *reference, const struct grid *grid,
                   struct component *components, size_t *count)
{
    double per_db = quantity_per_gain_db(grid->quantity.kind);
    add(components, count, ABSENT, true, "scale of the logged %s (the same instrument)", operating_name(grid->at));
    if (variant->microphone == reference->microphone) {
        same_microphone(variant, reference, per_db, components, count);
        return;
    }
    if (per_db == 0) /* a ratio within one recording, or no sound at all */
        return;
    own_microphone(variant, per_db, components, count);
    own_microphone(reference, per_db, components, count);
}
