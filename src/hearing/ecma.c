/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/ecma.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "hearing/critical_band.h"
#include "hearing/threshold.h"
#include "hearing/tone_groups.h"
#include "hearing/tone_lines.h"

#include <math.h>
#include <stdlib.h>

static bool is_in_range(double hz)
{
    return hz >= ECMA_LOWEST_HZ && hz <= ECMA_HIGHEST_HZ;
}

/* Clause 11.6. */
double ecma_tone_to_noise_limit_db(double hz)
{
    if (!is_in_range(hz))
        return ABSENT;
    return hz >= 1000 ? 8.0 : 8.0 + 8.33 * log10(1000 / hz);
}

/* Clause 12.7. */
double ecma_prominence_limit_db(double hz)
{
    if (!is_in_range(hz))
        return ABSENT;
    return hz >= 1000 ? 9.0 : 9.0 + power_ratio_to_db(1000 / hz);
}

/* Below this the band under the critical band reaches 20 Hz and its power is scaled to 100 Hz (clause 12). */
#define LOW_BRANCH_HZ 171.4

double ecma_lower_edge_hz(double hz)
{
    if (hz <= LOW_BRANCH_HZ)
        return 20;
    if (hz < 1600)
        return -149.5 + 1.001 * hz - 6.90e-5 * hz * hz;
    return 6.8 + 0.806 * hz - 8.20e-6 * hz * hz;
}

double ecma_upper_edge_hz(double hz)
{
    if (hz < 1600)
        return 149.5 + 1.035 * hz + 7.70e-5 * hz * hz;
    return 3.3 + 1.215 * hz + 2.16e-5 * hz * hz;
}

struct tones {
    const struct spectrum *spectrum;
    const double *hz;
    size_t count;
    struct tone_lines *lines;
    double *power_pa2;
    size_t *primary; /* of each the tone that it is heard as one with */
};

static bool tones_init(struct tones *tones, const struct spectrum *spectrum, const double *hz, size_t count,
                       struct err *err)
{
    *tones = (struct tones){ spectrum,
                             hz,
                             count,
                             memory_new(count, sizeof *tones->lines),
                             memory_new(count, sizeof *tones->power_pa2),
                             memory_new(count, sizeof *tones->primary) };
    if (!tones->lines || !tones->power_pa2 || !tones->primary)
        return err_memory(err);
    tone_lines_find(spectrum, hz, count, tones->lines);
    for (size_t i = 0; i < count; i++)
        tones->power_pa2[i] = tones->lines[i].power_pa2;
    tone_groups_find(hz, tones->power_pa2, count, critical_band_ecma, tones->primary);
    return true;
}

static void tones_clear(struct tones *tones)
{
    free(tones->lines);
    free(tones->power_pa2);
    free(tones->primary);
}

static double highest_hz(const struct spectrum *spectrum)
{
    return (double)(spectrum->count - 1) * spectrum->step_hz;
}

/* Mean density of the lines between two frequencies that belong to no tone; ABSENT when none is left. */
static double noise_between_tones_pa2_hz(const struct tones *tones, double low_hz, double high_hz)
{
    const struct spectrum *spectrum = tones->spectrum;
    size_t end = (size_t)fmin(floor(high_hz / spectrum->step_hz) + 1, (double)spectrum->count);
    size_t noise_lines = 0, tone = 0;
    double sum_pa2 = 0;
    for (size_t k = (size_t)ceil(low_hz / spectrum->step_hz); k < end; k++) {
        while (tone < tones->count && tones->lines[tone].last < k)
            tone++;
        if (tone < tones->count && tones->lines[tone].first <= k)
            continue;
        sum_pa2 += spectrum->pa2[k];
        noise_lines++;
    }
    if (noise_lines == 0)
        return ABSENT;
    return sum_pa2 / (double)noise_lines / (spectrum->enbw_lines * spectrum->step_hz);
}

/* A tone this far below the one that it is heard as one with adds 0.4 dB to it: nobody hears it beside that. */
#define SWALLOWED_DB 10

/* Power that is rated as the tone's: its own, and for a primary that of the tones heard as one with it. */
static double rated_power_pa2(const struct tones *tones, size_t rated)
{
    double own_pa2 = tones->power_pa2[rated], sum_pa2 = 0;
    size_t primary = tones->primary[rated];
    if (primary != rated)
        return own_pa2 < tones->power_pa2[primary] * db_to_power_ratio(-SWALLOWED_DB) ? ABSENT : own_pa2;
    for (size_t i = 0; i < tones->count; i++)
        if (tones->primary[i] == rated)
            sum_pa2 += tones->power_pa2[i];
    return sum_pa2;
}

/* Clause 11. Other tones are taken from the noise of the band. */
static double tone_to_noise_db(const struct tones *tones, size_t rated)
{
    double low_hz, high_hz;
    double rated_hz = tones->hz[rated];
    critical_band_ecma(rated_hz, &low_hz, &high_hz);
    if (high_hz > highest_hz(tones->spectrum))
        return ABSENT;
    double noise_pa2 = noise_between_tones_pa2_hz(tones, fmax(low_hz, 0), high_hz) * critical_bandwidth_hz(rated_hz);
    double ratio = rated_power_pa2(tones, rated) / noise_pa2;
    return ratio > 0 && isfinite(ratio) ? power_ratio_to_db(ratio) : ABSENT;
}

static bool is_strongest_between(const struct tones *tones, size_t rated, double low_hz, double high_hz)
{
    for (size_t i = 0; i < tones->count; i++)
        if (tones->hz[i] >= low_hz && tones->hz[i] < high_hz && tones->power_pa2[i] > tones->power_pa2[rated])
            return false;
    return true;
}

/* Clause 12. What the critical band holds is told of the strongest tone in it only. */
static double prominence_db(const struct tones *tones, size_t rated)
{
    const struct spectrum *spectrum = tones->spectrum;
    double hz = tones->hz[rated];
    double low_hz, high_hz, middle_width_hz, lower_width_hz, upper_width_hz;
    critical_band_ecma(hz, &low_hz, &high_hz);
    double upper_edge_hz = ecma_upper_edge_hz(hz), lower_edge_hz = ecma_lower_edge_hz(hz);
    if (upper_edge_hz > highest_hz(spectrum) || lower_edge_hz >= low_hz ||
        !is_strongest_between(tones, rated, low_hz, high_hz))
        return ABSENT;
    double middle_pa2 = spectrum_power_pa2(spectrum, low_hz, high_hz, &middle_width_hz);
    double lower_pa2 = spectrum_power_pa2(spectrum, lower_edge_hz, low_hz, &lower_width_hz);
    double upper_pa2 = spectrum_power_pa2(spectrum, high_hz, upper_edge_hz, &upper_width_hz);
    if (hz <= LOW_BRANCH_HZ)
        lower_pa2 *= 100 / lower_width_hz;
    double beside_pa2 = 0.5 * (lower_pa2 + upper_pa2);
    return middle_pa2 > 0 && beside_pa2 > 0 ? power_ratio_to_db(middle_pa2 / beside_pa2) : ABSENT;
}

bool ecma_rate(const struct spectrum *spectrum, const double *hz, size_t count, bool is_absolute,
               struct ecma_rating *out, struct err *err)
{
    if (count == 0)
        return true;
    struct tones tones;
    bool done = tones_init(&tones, spectrum, hz, count, err);
    for (size_t i = 0; done && i < count; i++) {
        struct ecma_rating *rating = &out[i];
        rating->tone_pa2 = tones.power_pa2[i];
        rating->tone_to_noise_db = tone_to_noise_db(&tones, i);
        rating->prominence_db = prominence_db(&tones, i);
        double threshold_db = hearing_threshold_db(hz[i]);
        rating->is_above_threshold = !is_absolute || pa2_to_db(rating->tone_pa2) > threshold_db;
        /* a comparison with ABSENT is false: no figure or no limit, not prominent */
        rating->is_prominent_by_ratio =
            rating->is_above_threshold && rating->tone_to_noise_db >= ecma_tone_to_noise_limit_db(hz[i]);
        rating->is_prominent_by_prominence =
            rating->is_above_threshold && rating->prominence_db >= ecma_prominence_limit_db(hz[i]);
    }
    tones_clear(&tones);
    return done;
}
