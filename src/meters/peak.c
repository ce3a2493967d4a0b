/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/peak.h"

#include "base/lanes.h"
#include "base/units.h"
#include "meters/kaiser.h"
#include "meters/sums.h"

#include <math.h>
#include <stdbool.h>

#define KAISER_BETA 7.0
#define GATE 0.5

/* A crest near the local maximum `here` of samples a, b, c cannot be higher than the parabola through them times a
 * factor that grows with its sharpness (2 b - a - c) / b: for a sine of angle w a sample that is 2 - 2 cos w. The
 * factor is above what sines need: 1.008 at w = 45 degrees, 1.13 at 90. */
static bool may_hide(double a, double b, double c, double greatest)
{
    double bend = 2 * b - a - c, sharpness = bend / b;
    double estimate = b + 0.125 * (c - a) * (c - a) / bend;
    return estimate * (1 + 0.02 * sharpness + 0.04 * sharpness * sharpness) > greatest;
}

void peak_init(struct peak *peak)
{
    *peak = (struct peak){ .greatest = 0 };
    for (int phase = 0; phase < PEAK_PHASES; phase++) {
        double shift = (double)phase / PEAK_PHASES, sum = 0;
        double *taps = peak->taps[phase];
        for (int i = 0; i < 2 * PEAK_HALF_TAPS; i++) {
            double x = (double)(i - (PEAK_HALF_TAPS - 1)) - shift, edge = x / PEAK_HALF_TAPS;
            double window = kaiser_window(edge, KAISER_BETA);
            taps[i] = window * (fabs(x) < 1e-9 ? 1 : sin(PI * x) / (PI * x));
            sum += taps[i];
        }
        for (int i = 0; i < 2 * PEAK_HALF_TAPS; i++)
            taps[i] /= sum;
    }
}

/* The value `phase` eighths after centre[0]. */
static double between(const struct peak *peak, const double *centre, int phase)
{
    const double *taps = peak->taps[phase], *from = centre - (PEAK_HALF_TAPS - 1);
    double sum[4] = { 0 };
    for (int i = 0; i < 2 * PEAK_HALF_TAPS; i += 4)
        for (int j = 0; j < 4; j++)
            sum[j] += taps[i + j] * from[i + j];
    return fabs((sum[0] + sum[1]) + (sum[2] + sum[3]));
}

/* Crest near a local maximum of the samples, from eighths within a sample either side. */
static double crest(const struct peak *peak, const double *centre)
{
    double values[2 * PEAK_PHASES + 1];
    for (int i = 0; i < PEAK_PHASES; i++) {
        values[i] = between(peak, centre - 1, i);
        values[i + PEAK_PHASES] = between(peak, centre, i);
    }
    values[2 * PEAK_PHASES] = fabs(centre[1]);
    int top = 0;
    for (int i = 1; i <= 2 * PEAK_PHASES; i++)
        if (values[i] > values[top])
            top = i;
    if (top == 0 || top == 2 * PEAK_PHASES)
        return values[top];
    double left = values[top - 1], right = values[top + 1], bend = 2 * values[top] - left - right;
    return bend > 0 ? values[top] + 0.125 * (right - left) * (right - left) / bend : values[top];
}

/* The local maxima among `count` samples, each with a neighbour either side and room for the interpolation. */
static double search(const struct peak *peak, const double *samples, size_t count, double greatest)
{
    for (size_t i = 0; i < count; i++) {
        double sign = samples[i] < 0 ? -1 : 1, here = sign * samples[i];
        double before = sign * samples[i - 1], after = sign * samples[i + 1];
        if (here < GATE * greatest || here == 0 || before > here || after > here ||
            !may_hide(before, here, after, greatest))
            continue;
        greatest = larger_of(larger_of(crest(peak, samples + i), here), greatest);
    }
    return greatest;
}

/* With |c - a| <= bend and bend <= 4 b what may_hide takes for a bound is at most b + 0.4 bend, which is what the
 * sharpened samples show; and that is no less than b. So most stretches are passed over. */
#define STRETCH_FRAMES 128

void peak_run(struct peak *peak, const double *samples, size_t frame_count)
{
    /* No local maximum lies where a falling signal begins to count. */
    double greatest = frame_count > 0 ? larger_of(fabs(samples[0]), peak->greatest) : peak->greatest;
    for (size_t at = 0; at < frame_count; at += STRETCH_FRAMES) {
        size_t count = frame_count - at < STRETCH_FRAMES ? frame_count - at : STRETCH_FRAMES;
        const double *stretch = samples - PEAK_HALF_TAPS + at;
        if (sum_greatest_sharpened(stretch, count) > greatest)
            greatest = search(peak, stretch, count, greatest);
    }
    for (size_t i = frame_count > PEAK_HALF_TAPS ? frame_count - PEAK_HALF_TAPS : 0; i < frame_count; i++)
        greatest = larger_of(fabs(samples[i]), greatest);
    peak->greatest = greatest;
}
