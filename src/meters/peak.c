/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/peak.h"

#include "base/units.h"
#include "meters/kaiser.h"

#include <math.h>
#include <string.h>

#define KAISER_BETA 7.0
#define GATE 0.5

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

void peak_reset(struct peak *peak)
{
    peak->greatest = 0;
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

void peak_run(struct peak *peak, const double *samples, size_t frame_count, double *work)
{
    const size_t history_count = 2 * PEAK_HALF_TAPS;
    memcpy(work, peak->history, history_count * sizeof *work);
    memcpy(work + history_count, samples, frame_count * sizeof *work);
    for (size_t i = 0; i < frame_count; i++)
        peak->greatest = fmax(peak->greatest, fabs(samples[i]));
    for (size_t i = PEAK_HALF_TAPS; i < PEAK_HALF_TAPS + frame_count; i++) {
        double here = fabs(work[i]);
        if (here < GATE * peak->greatest || here < fabs(work[i - 1]) || here < fabs(work[i + 1]) || here == 0)
            continue;
        peak->greatest = fmax(peak->greatest, crest(peak, work + i));
    }
    memcpy(peak->history, work + frame_count, history_count * sizeof *work);
}
