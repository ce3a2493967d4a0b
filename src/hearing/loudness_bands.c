/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/loudness_bands.h"

#include "base/clones.h"
#include "base/lanes.h"
#include "base/units.h"

#include <complex.h>
#include <math.h>
#include <string.h>

/* Far below anything audible (-300 dB and less): keeps the states of filters from becoming denormal in silence. */
#define BIAS_PA 1e-25
#define BIAS_PA2 1e-40

static double band_hz(int band)
{
    return 1000 * db_to_power_ratio(ZWICKER_LOWEST_INDEX + band);
}

bool loudness_rate_is_enough(double rate_hz)
{
    return rate_hz >= LOUDNESS_LEAST_RATE_HZ;
}

/* Ripple of 0.00363 dB, and band edges where it ends, as fitted to the annex's coefficients. */
#define CHEBYSHEV_EPSILON 0.02893156
#define EDGE_DECADES 0.02255813

/* Poles of one band: prototype to band-pass to the z plane by the bilinear transform. Zeros are three at 0 Hz and three
 * at half the rate, so all bands have the numerator (1 - z^-2)^3. */
static void design_band(struct loudness_group *group, size_t lane, double middle_hz, double rate_hz)
{
    double edge = db_to_power_ratio(10 * EDGE_DECADES);
    double low = tan(PI * middle_hz / edge / rate_hz), high = tan(PI * middle_hz * edge / rate_hz);
    double width = high - low, middle2 = low * high, spread = asinh(1 / CHEBYSHEV_EPSILON) / 3;
    const double complex i = (double complex)I;
    double complex unit = cexp(i * (2 * PI * middle_hz / rate_hz)), response = 1;
    /* the complex prototype pole gives two pole pairs, the real one the third */
    double complex prototype = -sinh(spread) * sin(PI / 6) + i * (cosh(spread) * cos(PI / 6));
    double complex half = prototype * width / 2, root = csqrt(half * half - middle2);
    double real_half = -sinh(spread) * width / 2;
    double complex pole_s[3] = { half + root, half - root,
                                 real_half + csqrt((double complex)(real_half * real_half - middle2)) };
    for (size_t section = 0; section < 3; section++) {
        double complex pole = (1 + pole_s[section]) / (1 - pole_s[section]);
        group->a1[section][lane] = -2 * creal(pole);
        group->a2[section][lane] = creal(pole) * creal(pole) + cimag(pole) * cimag(pole);
        double complex delay = 1 / unit;
        response *=
            (1 - delay * delay) / (1 + group->a1[section][lane] * delay + group->a2[section][lane] * delay * delay);
    }
    double gain = 1 / cabs(response);
    group->gain_power[lane] = gain * gain / (double)group->samples_per_tick;
    double tick_s = (double)group->samples_per_tick / rate_hz, tau_s = 2 / (3 * fmin(middle_hz, 1000));
    group->smooth_part[lane] = -expm1(-tick_s / tau_s);
}

void loudness_bands_init(struct loudness_bands *bands, double rate_hz)
{
    static const struct {
        int first_band, halvings;
        size_t samples_per_tick;
    } layout[LOUDNESS_GROUP_COUNT] = { { 24, 0, 4 }, { 20, 0, 4 }, { 16, 1, 2 }, { 12, 2, 1 },
                                       { 8, 3, 1 },  { 4, 4, 1 },  { 0, 4, 1 } };
    *bands = (struct loudness_bands){ .inner_rate_hz = rate_hz };
    while (bands->inner_rate_hz >= 80000) {
        bands->inner_rate_hz /= 2;
        bands->outer_halvings++;
    }
    for (size_t g = 0; g < LOUDNESS_GROUP_COUNT; g++) {
        struct loudness_group *group = &bands->groups[g];
        group->first_band = layout[g].first_band;
        group->halvings = layout[g].halvings;
        group->samples_per_tick = layout[g].samples_per_tick;
        group->input_per_tick = layout[g].samples_per_tick << layout[g].halvings;
        for (size_t lane = 0; lane < LANES; lane++)
            design_band(group, lane, band_hz(group->first_band + (int)lane),
                        bands->inner_rate_hz / (double)(1 << group->halvings));
    }
    for (size_t i = 0; i < 4; i++) /* the highest band of the half rate is 2 kHz: a wide transition is enough */
        half_band_init(&bands->inner[i], 6, 80);
}

struct chunk {
    const double *signal;   /* at the group's rate */
    const size_t *row_tick; /* ticks done when each row is due, from the chunk's start */
    size_t row_count, tick_count;
};

/* The numerator that all bands share, (1 - z^-2)^3, once for all of a group. It weakens 25 Hz to 1.2e-3, the most of
 * all, so that its rounding stays 250 dB below the sound. */
static inline void drive(struct loudness_group *group, const double *signal, size_t count, double *driving)
{
    enum { REACH = LOUDNESS_NUMERATOR_REACH };
    double first[2 * REACH];
    memcpy(first, group->past_pa, sizeof group->past_pa);
    memcpy(first + REACH, signal, sizeof group->past_pa);
    for (size_t n = 0; n < REACH; n++)
        driving[n] = (first[n + 6] - first[n]) + 3 * (first[n + 2] - first[n + 4]) + BIAS_PA;
    for (size_t n = REACH; n < count; n++)
        driving[n] = (signal[n] - signal[n - 6]) + 3 * (signal[n - 4] - signal[n - 2]) + BIAS_PA;
    memcpy(group->past_pa, signal + count - REACH, sizeof group->past_pa);
}

/* The four bands of a group abreast: sections y = x - a1 y1 - a2 y2, then the power of a tick's samples, smoothed.
 * `samples_per_tick` is a constant where this is inlined. */
static inline __attribute__((always_inline)) void run_lanes(struct loudness_group *group, const struct chunk *chunk,
                                                            double (*power_pa2)[ZWICKER_BAND_COUNT],
                                                            size_t samples_per_tick)
{
    lanes a1[3], a2[3], y1[3], y2[3], smooth[3], part, gain;
    double driving[LOUDNESS_CHUNK_FRAMES];
    memcpy(a1, group->a1, sizeof a1);
    memcpy(a2, group->a2, sizeof a2);
    memcpy(y1, group->y1, sizeof y1);
    memcpy(y2, group->y2, sizeof y2);
    memcpy(smooth, group->smooth, sizeof smooth);
    memcpy(&part, group->smooth_part, sizeof part);
    memcpy(&gain, group->gain_power, sizeof gain);
    drive(group, chunk->signal, chunk->tick_count * samples_per_tick, driving);
    const double *next = driving;
    for (size_t row = 0, tick = 0; row <= chunk->row_count; row++) {
        size_t tick_end = row < chunk->row_count ? chunk->row_tick[row] : chunk->tick_count;
        for (; tick < tick_end; tick++) {
            lanes power = { BIAS_PA2, BIAS_PA2, BIAS_PA2, BIAS_PA2 };
            for (size_t i = 0; i < samples_per_tick; i++) {
                double x = *next++;
                lanes y = { x, x, x, x };
                for (size_t section = 0; section < 3; section++) {
                    y = (y - a2[section] * y2[section]) - a1[section] * y1[section];
                    y2[section] = y1[section];
                    y1[section] = y;
                }
                power += y * y;
            }
            smooth[0] += part * (power * gain - smooth[0]);
            smooth[1] += part * (smooth[0] - smooth[1]);
            smooth[2] += part * (smooth[1] - smooth[2]);
        }
        if (row < chunk->row_count)
            memcpy(&power_pa2[row][group->first_band], &smooth[2], sizeof smooth[2]);
    }
    memcpy(group->y1, y1, sizeof y1);
    memcpy(group->y2, y2, sizeof y2);
    memcpy(group->smooth, smooth, sizeof smooth);
}

WITH_CLONES static void run_group(struct loudness_group *group, const struct chunk *chunk,
                                  double (*power_pa2)[ZWICKER_BAND_COUNT])
{
    if (group->samples_per_tick == 4)
        run_lanes(group, chunk, power_pa2, 4);
    else if (group->samples_per_tick == 2)
        run_lanes(group, chunk, power_pa2, 2);
    else
        run_lanes(group, chunk, power_pa2, 1);
}

size_t loudness_bands_run(struct loudness_bands *bands, const double *pressure_pa,
                          double power_pa2[static LOUDNESS_CHUNK_MOST_LEVELS][ZWICKER_BAND_COUNT],
                          size_t row_end[static LOUDNESS_CHUNK_MOST_LEVELS])
{
    size_t start = bands->frames_run, row_count = 0, row_tick[LOUDNESS_CHUNK_MOST_LEVELS];
    for (;; row_count++) {
        double due = (double)(bands->levels_run + row_count + 1) * bands->inner_rate_hz / LOUDNESS_FRAMES_PER_S;
        row_end[row_count] = (size_t)(due + 0.5);
        if (row_end[row_count] > start + LOUDNESS_CHUNK_FRAMES)
            break;
    }
    half_band_run(&bands->inner[0], pressure_pa, LOUDNESS_CHUNK_FRAMES, bands->halved[0]);
    for (size_t i = 1; i < 4; i++)
        half_band_run(&bands->inner[i], bands->halved[i - 1], LOUDNESS_CHUNK_FRAMES >> i, bands->halved[i]);
    for (size_t g = 0; g < LOUDNESS_GROUP_COUNT; g++) {
        struct loudness_group *group = &bands->groups[g];
        for (size_t row = 0; row < row_count; row++)
            row_tick[row] = (row_end[row] - start) / group->input_per_tick;
        struct chunk chunk = { group->halvings == 0 ? pressure_pa : bands->halved[group->halvings - 1], row_tick,
                               row_count, LOUDNESS_CHUNK_FRAMES / group->input_per_tick };
        run_group(group, &chunk, power_pa2);
    }
    bands->frames_run += LOUDNESS_CHUNK_FRAMES;
    bands->levels_run += row_count;
    return row_count;
}
