/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo-response.h"

#include "base/units.h"
#include "demo-plan.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

/* Pole frequencies, IEC 61672-1:2013 Annex E. */
#define POLE_1_HZ 20.598997
#define POLE_2_HZ 107.65265
#define POLE_3_HZ 737.86223
#define POLE_4_HZ 12194.217

static double c_shape(double hz)
{
    double square = hz * hz;
    return POLE_4_HZ * POLE_4_HZ * square / ((square + POLE_1_HZ * POLE_1_HZ) * (square + POLE_4_HZ * POLE_4_HZ));
}

static double a_shape(double hz)
{
    double square = hz * hz;
    return c_shape(hz) * square / sqrt((square + POLE_2_HZ * POLE_2_HZ) * (square + POLE_3_HZ * POLE_3_HZ));
}

double demo_a_weighting(double hz, const void *unused)
{
    (void)unused;
    double ratio = a_shape(hz) / a_shape(1000);
    return ratio * ratio;
}

double demo_c_weighting(double hz, const void *unused)
{
    (void)unused;
    double ratio = c_shape(hz) / c_shape(1000);
    return ratio * ratio;
}

double demo_no_weighting(double hz, const void *unused)
{
    (void)unused;
    return hz > 0 ? 1 : 0;
}

/* |H|^2 at the warped frequency w. */
static double butterworth(double w, double mid, double width)
{
    double x = (w * w - mid * mid) / (width * w), fourth = x * x * x * x;
    return 1 / (1 + fourth * fourth);
}

static double warped(double hz, double rate_hz)
{
    return tan(PI * hz / rate_hz);
}

/* Integral of |H|^2 over ln f from a tenth of the band's mid-frequency up to half of the rate, or ten times the mid, by
 * the trapezium rule. */
static double effective_bandwidth(const struct demo_filter *filter)
{
    const int steps = 2000;
    double from = filter->mid_hz / 10, to = fmin(filter->mid_hz * 10, 0.4999 * filter->rate_hz), sum = 0;
    for (int i = 0; i <= steps; i++) {
        double hz = from * pow(to / from, (double)i / steps);
        sum += (i == 0 || i == steps ? 0.5 : 1) * demo_butterworth(hz, filter);
    }
    return sum * log(to / from) / steps;
}

struct demo_filter demo_filter_of(int index)
{
    double half = db_to_power_ratio(0.5), mid_hz = 1000 * db_to_power_ratio(index);
    struct demo_filter filter = { .mid_hz = mid_hz, .low_hz = mid_hz / half, .high_hz = mid_hz * half };
    filter.rate_hz = DEMO_SAMPLE_RATE_HZ;
    while (filter.high_hz <= 0.3 * filter.rate_hz / 2)
        filter.rate_hz /= 2;
    double low = warped(filter.low_hz, filter.rate_hz), high = warped(filter.high_hz, filter.rate_hz);
    filter.mid = sqrt(low * high);
    filter.width = high - low;
    for (int i = 0; i < 6; i++) /* very nearly in proportion, so that it settles at once */
        filter.width *= log(filter.high_hz / filter.low_hz) / effective_bandwidth(&filter);
    return filter;
}

double demo_ideal_band(double hz, const void *filter)
{
    const struct demo_filter *band = filter;
    return hz >= band->low_hz && hz < band->high_hz ? 1 : 0;
}

double demo_butterworth(double hz, const void *filter)
{
    const struct demo_filter *band = filter;
    return hz < band->rate_hz / 2 ? butterworth(warped(hz, band->rate_hz), band->mid, band->width) : 0;
}

/* Limits of the relative attenuation of a class 1 third-octave filter, by distance from the mid-frequency as a ratio,
 * IEC 61260:1995 table 1; between the points they run straight over lg of the ratio. The edge stands twice: the least
 * attenuation jumps there. The filter may be wholly shut (INFINITY) from the edge on. */
static const struct {
    double ratio, least_db, most_db;
} class1_mask[] = {
    { 1.00000, -0.3, 0.3 },      { 1.02667, -0.3, 0.4 },      { 1.05575, -0.3, 0.6 },      { 1.08746, -0.3, 1.3 },
    { 1.12202, -0.3, 5.0 },      { 1.12202, 2.0, INFINITY },  { 1.29437, 17.5, INFINITY }, { 1.88173, 42.0, INFINITY },
    { 3.05365, 61.0, INFINITY }, { 5.39195, 70.0, INFINITY },
};
#define MASK_COUNT (sizeof class1_mask / sizeof class1_mask[0])
#define BEYOND_MASK 1e-7 /* 70 dB, as at the last point */

/* Where a frequency lies in the mask: between points i - 1 and i, `part` of the way; false beyond its last point. */
static bool mask_find(double hz, double mid_hz, size_t *i, double *part)
{
    double ratio = hz > mid_hz ? hz / mid_hz : mid_hz / hz;
    if (ratio > class1_mask[MASK_COUNT - 1].ratio)
        return false;
    for (*i = 1; *i < MASK_COUNT; (*i)++) {
        double from = class1_mask[*i - 1].ratio, to = class1_mask[*i].ratio;
        if (ratio <= to) {
            *part = to > from ? log(ratio / from) / log(to / from) : 1;
            return true;
        }
    }
    return false;
}

double demo_class1_most(double hz, const void *filter)
{
    size_t i;
    double part;
    if (!mask_find(hz, ((const struct demo_filter *)filter)->mid_hz, &i, &part))
        return BEYOND_MASK;
    return db_to_power_ratio(-((1 - part) * class1_mask[i - 1].least_db + part * class1_mask[i].least_db));
}

double demo_class1_least(double hz, const void *filter)
{
    size_t i;
    double part;
    if (!mask_find(hz, ((const struct demo_filter *)filter)->mid_hz, &i, &part) || isinf(class1_mask[i].most_db))
        return 0;
    return db_to_power_ratio(-((1 - part) * class1_mask[i - 1].most_db + part * class1_mask[i].most_db));
}
