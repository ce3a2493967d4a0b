/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo-truth.h"

#include "base/fft.h"
#include "base/memory.h"
#include "base/units.h"
#include "demo-response.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>

typedef double response(double hz, const void *context);

/* Mean squares of the lines of one period; lines of tones are marked. */
struct spectrum {
    double *pa2;
    bool *is_tone;
    size_t count;
    double line_hz;
};

static void spectrum_clear(struct spectrum *spectrum)
{
    free(spectrum->pa2);
    free(spectrum->is_tone);
}

static bool spectrum_of(const struct demo_made *made, struct spectrum *out, struct err *err)
{
    *out = (struct spectrum){ 0 };
    struct fft *fft = fft_new(made->period_frames, err);
    if (!fft)
        return false;
    double pa_per_step = demo_pa_per_full_scale(made->gain_db) / -(double)INT16_MIN;
    for (size_t n = 0; n < fft->size; n++)
        fft->signal[n] = made->samples[made->start_frame + n] * pa_per_step;
    fft_forward(fft);
    *out = (struct spectrum){ .pa2 = memory_new(fft->line_count, sizeof *out->pa2),
                              .is_tone = memory_new(fft->line_count, sizeof *out->is_tone),
                              .count = fft->line_count,
                              .line_hz = DEMO_SAMPLE_RATE_HZ / (double)fft->size };
    bool ok = (out->pa2 && out->is_tone) || err_memory(err);
    for (size_t k = 1; ok && k < fft->line_count; k++) {
        double magnitude = cabs(fft->lines[k]) / (double)fft->size;
        out->pa2[k] = (2 * k == fft->size ? 1 : 2) * magnitude * magnitude;
    }
    for (size_t i = 0; ok && i < made->tone_count; i++)
        out->is_tone[lrint(made->tones[i].hz / out->line_hz)] = true;
    fft_free(fft);
    return ok;
}

/* The scatter over d seconds is that of Gaussian noise of density S beside tones of power P:
 * (integral of S^2 df + 2 sum of P S) / d, and over T it weighs d / T. The noise at a tone is that of the lines beside
 * it. */
static struct demo_level level_of(const struct spectrum *spectrum, response *ratio, const void *context)
{
    double sum = 0, squares = 0, before = 0;
    for (size_t k = 1; k < spectrum->count; k++) {
        if (!(spectrum->pa2[k] > 0))
            continue;
        double pa2 = spectrum->pa2[k] * ratio((double)k * spectrum->line_hz, context);
        sum += pa2;
        squares += pa2 * (spectrum->is_tone[k] ? 2 * before : pa2);
        before = spectrum->is_tone[k] ? before : pa2;
    }
    return (struct demo_level){ pa2_to_db(sum), sum * sum * spectrum->line_hz / squares };
}

bool demo_measure(const struct demo_made *made, struct demo_levels *levels, struct demo_band bands[DEMO_BAND_COUNT],
                  struct err *err)
{
    struct spectrum spectrum;
    bool ok = spectrum_of(made, &spectrum, err);
    for (int i = 0; ok && i < DEMO_BAND_COUNT; i++) {
        const struct demo_filter filter = demo_filter_of(i - 17);
        bands[i] = (struct demo_band){ .exact_hz = filter.mid_hz,
                                       .inside_db = level_of(&spectrum, demo_ideal_band, &filter).db,
                                       .class1_low_db = level_of(&spectrum, demo_class1_least, &filter).db,
                                       .class1_high_db = level_of(&spectrum, demo_class1_most, &filter).db,
                                       .filtered = level_of(&spectrum, demo_butterworth, &filter) };
    }
    if (ok)
        *levels = (struct demo_levels){ .laeq = level_of(&spectrum, demo_a_weighting, NULL),
                                        .lceq = level_of(&spectrum, demo_c_weighting, NULL),
                                        .lzeq = level_of(&spectrum, demo_no_weighting, NULL) };
    spectrum_clear(&spectrum);
    return ok;
}

double demo_law_laeq_db(const struct demo_variant *variant, double rpm)
{
    struct demo_tone tones[DEMO_TONES_MAX];
    size_t tone_count = demo_tones_at(variant, rpm, tones);
    struct demo_haystack noise[DEMO_NOISES];
    demo_noise_at(variant, rpm, 0, noise);
    double sum_pa2 = 0;
    for (size_t i = 0; i < tone_count; i++)
        sum_pa2 += db_to_pa2(tones[i].level_db) * demo_a_weighting(tones[i].hz, NULL);
    for (double hz = 10; hz <= 20000; hz += 1)
        sum_pa2 += demo_density_pa2_hz(noise, DEMO_ROTOR_NOISES, hz) * demo_a_weighting(hz, NULL);
    return pa2_to_db(sum_pa2);
}
