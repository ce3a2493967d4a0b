/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/floor.h"

#include "base/memory.h"
#include "rotor/rank.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

#define CENTRES_PER_OCTAVE 24
#define WINDOW_SHARE 0.2     /* of the frequency, either side, up to half the critical band */
#define LEAST_HALF_WINDOW 10 /* lines */
#define LEAST_CLEAN_LINES 8  /* that a median can be had from */
#define DYNAMIC_RANGE 1e-13  /* of the strongest line: below it lies arithmetic, not sound */
#define OUTLIER_CHANCE 1e-3
/* GSL's inverse of the gamma distribution is wrong from 1.7e4 degrees; nothing hangs on more. */
#define BLOCKS_MOST 1e4

double critical_bandwidth_hz(double hz)
{
    double khz = hz / 1000.0;
    return 25 + 75 * pow(1 + 1.4 * khz * khz, 0.69);
}

double floor_independent_blocks(const struct spectrum *spectrum)
{
    double blocks = spectrum->block_count > 0 ? (double)spectrum->block_count : 1.0;
    return fmin(blocks / (1 + 2.0 / 36.0 * (blocks - 1) / blocks), BLOCKS_MOST);
}

double floor_outlier_ratio(const struct spectrum *spectrum, double chance)
{
    double blocks = floor_independent_blocks(spectrum);
    return gsl_cdf_gamma_Qinv(chance, blocks, 1 / blocks);
}

struct floor_work {
    const struct spectrum *spectrum;
    double *window;    /* room for all lines */
    const bool *loud;  /* lines to leave out */
    double *log_level; /* at the centres */
    size_t *centres;
    size_t centre_count;
    double median_to_mean;
};

static double window_median(const struct floor_work *work, size_t centre, size_t half)
{
    size_t first = centre > half ? centre - half : 1, last = centre + half, count = 0;
    if (last >= work->spectrum->count)
        last = work->spectrum->count - 1;
    for (size_t k = first; k <= last; k++)
        if (!work->loud[k])
            work->window[count++] = work->spectrum->pa2[k];
    if (count < LEAST_CLEAN_LINES)
        return -1;
    return rank_value(work->window, count, count / 2);
}

/* The window is symmetric in frequency, so that a slope does not shift its median; it grows where too few lines are
 * left. */
static double floor_at(const struct floor_work *work, size_t centre)
{
    double hz = (double)centre * work->spectrum->step_hz;
    double half_hz = fmin(WINDOW_SHARE * hz, critical_bandwidth_hz(hz) / 2);
    size_t half = (size_t)(half_hz / work->spectrum->step_hz);
    if (half < LEAST_HALF_WINDOW)
        half = LEAST_HALF_WINDOW;
    double median = window_median(work, centre, half);
    while (median < 0 && half < work->spectrum->count) {
        half *= 2;
        median = window_median(work, centre, half);
    }
    return fmax(median, 0) / work->median_to_mean;
}

static void place_centres(struct floor_work *work)
{
    double factor = exp2(1.0 / CENTRES_PER_OCTAVE), next = 1;
    work->centre_count = 0;
    while (next < (double)work->spectrum->count) {
        size_t centre = (size_t)next;
        work->centres[work->centre_count++] = centre;
        next = fmax(next * factor, (double)centre + 3);
    }
}

static void fill(const struct floor_work *work, double least_pa2, double *noise_pa2)
{
    for (size_t i = 0; i < work->centre_count; i++)
        work->log_level[i] = log(fmax(floor_at(work, work->centres[i]), least_pa2));
    size_t i = 0;
    for (size_t k = 0; k < work->spectrum->count; k++) {
        while (i + 1 < work->centre_count && work->centres[i + 1] <= k)
            i++;
        double level = work->log_level[i];
        if (i + 1 < work->centre_count && k > work->centres[i]) {
            double share = (double)(k - work->centres[i]) / (double)(work->centres[i + 1] - work->centres[i]);
            level += share * (work->log_level[i + 1] - level);
        }
        noise_pa2[k] = exp(level);
    }
}

static void mark_loud(const struct spectrum *spectrum, const double *noise_pa2, bool *loud)
{
    double ratio = fmax(floor_outlier_ratio(spectrum, OUTLIER_CHANCE), 2.5);
    for (size_t k = 0; k < spectrum->count; k++)
        loud[k] = false;
    for (size_t k = 0; k < spectrum->count; k++) {
        if (!(spectrum->pa2[k] > ratio * noise_pa2[k]))
            continue;
        for (size_t n = k > 2 ? k - 2 : 0; n <= k + 2 && n < spectrum->count; n++)
            loud[n] = true;
    }
}

bool floor_estimate(const struct spectrum *spectrum, double *noise_pa2, struct err *err)
{
    size_t count = spectrum->count;
    double strongest = 0;
    for (size_t k = 0; k < count; k++)
        strongest = fmax(strongest, spectrum->pa2[k]);
    if (strongest <= 0 || count < 4 * LEAST_HALF_WINDOW) {
        for (size_t k = 0; k < count; k++)
            noise_pa2[k] = strongest;
        return true;
    }
    bool *loud = memory_new(count, sizeof *loud);
    struct floor_work work = {
        .spectrum = spectrum,
        .loud = loud,
        .window = memory_new(count, sizeof *work.window),
        .log_level = memory_new(count, sizeof *work.log_level),
        .centres = memory_new(count, sizeof *work.centres),
    };
    bool is_ok = work.window && work.log_level && work.centres && loud;
    if (is_ok) {
        double blocks = floor_independent_blocks(spectrum);
        work.median_to_mean = gsl_cdf_gamma_Pinv(0.5, blocks, 1 / blocks);
        place_centres(&work);
        for (int pass = 0; pass < 3; pass++) {
            fill(&work, strongest * DYNAMIC_RANGE, noise_pa2);
            mark_loud(spectrum, noise_pa2, loud);
        }
    }
    free(work.window);
    free(work.log_level);
    free(work.centres);
    free(loud);
    return is_ok ? true : err_memory(err);
}
