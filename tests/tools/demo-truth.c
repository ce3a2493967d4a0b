/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo-truth.h"

#include "base/fft.h"
#include "base/memory.h"
#include "base/units.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>

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

double demo_a_weighting(double hz)
{
    double ratio = a_shape(hz) / a_shape(1000);
    return ratio * ratio;
}

double demo_c_weighting(double hz)
{
    double ratio = c_shape(hz) / c_shape(1000);
    return ratio * ratio;
}

static double no_weighting(double hz)
{
    return hz > 0 ? 1 : 0;
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

static void mask_at(double hz, double mid_hz, double *least_db, double *most_db)
{
    double ratio = hz > mid_hz ? hz / mid_hz : mid_hz / hz;
    size_t i = 1;
    while (i < MASK_COUNT && class1_mask[i].ratio < ratio)
        i++;
    *least_db = class1_mask[MASK_COUNT - 1].least_db;
    *most_db = INFINITY;
    if (i == MASK_COUNT)
        return;
    double part = log(ratio / class1_mask[i - 1].ratio) / log(class1_mask[i].ratio / class1_mask[i - 1].ratio);
    *least_db = class1_mask[i - 1].least_db + part * (class1_mask[i].least_db - class1_mask[i - 1].least_db);
    if (isfinite(class1_mask[i].most_db))
        *most_db = class1_mask[i - 1].most_db + part * (class1_mask[i].most_db - class1_mask[i - 1].most_db);
}

static double line_hz_of(const struct fft *fft)
{
    return DEMO_SAMPLE_RATE_HZ / (double)fft->size;
}

/* Mean square of line k of a transform over the whole file. */
static double line_pa2(const struct fft *fft, size_t k)
{
    double magnitude = cabs(fft->lines[k]) / (double)fft->size;
    return (2 * k == fft->size ? 1 : 2) * magnitude * magnitude;
}

static void measure_band(const struct fft *fft, int index, struct demo_band *band)
{
    const double far_ratio = class1_mask[MASK_COUNT - 1].ratio, far_db = class1_mask[MASK_COUNT - 1].least_db;
    double mid_hz = 1000 * db_to_power_ratio(index), half = db_to_power_ratio(0.5);
    double inside = 0, low = 0, high = 0, far = 0;
    for (size_t k = 1; k < fft->line_count; k++) {
        double hz = (double)k * line_hz_of(fft), pa2 = line_pa2(fft, k), least_db, most_db;
        if (hz > mid_hz * far_ratio || hz < mid_hz / far_ratio) {
            far += pa2;
            continue;
        }
        mask_at(hz, mid_hz, &least_db, &most_db);
        inside += hz >= mid_hz / half && hz < mid_hz * half ? pa2 : 0;
        high += pa2 * db_to_power_ratio(-least_db);
        low += pa2 * db_to_power_ratio(-most_db);
    }
    high += far * db_to_power_ratio(-far_db);
    *band = (struct demo_band){ mid_hz, pa2_to_db(inside), pa2_to_db(low), pa2_to_db(high) };
}

/* Level of the weighted file over frames [first, end); `lines` is the transform of the whole. */
static double part_level_db(struct fft *fft, const double complex *lines, double (*weighting)(double hz), size_t first,
                            size_t end)
{
    for (size_t k = 0; k < fft->line_count; k++)
        fft->lines[k] = lines[k] * sqrt(weighting((double)k * line_hz_of(fft))) / (double)fft->size;
    fft_backward(fft);
    double sum_pa2 = 0;
    for (size_t n = first; n < end; n++)
        sum_pa2 += fft->signal[n] * fft->signal[n];
    return pa2_to_db(sum_pa2 / (double)(end - first));
}

bool demo_measure(const struct demo_made *made, double gain_db, double start_s, double end_s,
                  struct demo_levels *levels, struct demo_band bands[DEMO_BAND_COUNT], struct err *err)
{
    struct fft *fft = fft_new(made->frame_count, err);
    if (!fft)
        return false;
    double complex *lines = memory_new(fft->line_count, sizeof *lines);
    if (!lines) {
        fft_free(fft);
        return err_memory(err);
    }
    double pa_per_step = demo_pa_per_full_scale(gain_db) / -(double)INT16_MIN;
    for (size_t n = 0; n < fft->size; n++)
        fft->signal[n] = made->samples[n] * pa_per_step;
    fft_forward(fft);
    for (int i = 0; i < DEMO_BAND_COUNT; i++)
        measure_band(fft, i - 17, &bands[i]);
    for (size_t k = 0; k < fft->line_count; k++)
        lines[k] = fft->lines[k];
    size_t first = (size_t)lrint(start_s * DEMO_SAMPLE_RATE_HZ), end = (size_t)lrint(end_s * DEMO_SAMPLE_RATE_HZ);
    levels->laeq_db = part_level_db(fft, lines, demo_a_weighting, first, end);
    levels->lceq_db = part_level_db(fft, lines, demo_c_weighting, first, end);
    levels->lzeq_db = part_level_db(fft, lines, no_weighting, first, end);
    free(lines);
    fft_free(fft);
    return true;
}

double demo_law_laeq_db(const struct demo_variant *variant, double rpm)
{
    struct demo_tone tones[DEMO_TONES_MAX];
    size_t tone_count = demo_tones_at(variant, rpm, tones);
    struct demo_haystack noise[DEMO_NOISES];
    demo_noise_at(variant, rpm, 0, noise);
    double sum_pa2 = 0;
    for (size_t i = 0; i < tone_count; i++)
        sum_pa2 += db_to_pa2(tones[i].level_db) * demo_a_weighting(tones[i].hz);
    for (double hz = 10; hz <= 20000; hz += 1)
        sum_pa2 += demo_density_pa2_hz(noise, DEMO_ROTOR_NOISES, hz) * demo_a_weighting(hz);
    return pa2_to_db(sum_pa2);
}
