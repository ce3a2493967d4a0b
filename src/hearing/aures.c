/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/aures.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "hearing/critical_band.h"
#include "hearing/threshold.h"
#include "hearing/tone_lines.h"
#include "hearing/zwicker.h"

#include <math.h>
#include <stdlib.h>

#define LOUDNESS_EXPONENT                                                                                              \
    0.29 /* each weight is raised to 1 / 0.29 before the sum over tones, the sum to 0.29 after                         \
          */

struct tone_at_ear {
    double hz, bark, level_db, width_bark;
};

/* Excitation level that a tone leaves at another place, Terhardt 1979: 27 dB/bark towards low frequencies, 24 + 230/f -
 * 0.2 L dB/bark towards high ones. */
static double excitation_db(const struct tone_at_ear *tone, double bark)
{
    if (bark <= tone->bark)
        return tone->level_db - 27 * (tone->bark - bark);
    return tone->level_db + (-24 - 230 / tone->hz + 0.2 * tone->level_db) * (bark - tone->bark);
}

/* Height of tone i above the threshold that other tones, noise and quiet set. */
static double excess_db(const struct tone_at_ear *tones, size_t count, size_t i, double noise_pa2)
{
    double amplitude = 0;
    for (size_t j = 0; j < count; j++)
        if (j != i)
            amplitude += db_to_amplitude_ratio(excitation_db(&tones[j], tones[i].bark));
    double threshold_db = hearing_threshold_db(tones[i].hz);
    double masked = amplitude * amplitude + noise_pa2 / db_to_pa2(0);
    if (is_given(threshold_db))
        masked += db_to_power_ratio(threshold_db);
    return tones[i].level_db - power_ratio_to_db(masked);
}

static double tone_weight(const struct tone_at_ear *tone, double height_db)
{
    if (!(height_db > 0))
        return 0;
    double bandwidth = pow(0.13 / (tone->width_bark + 0.13), 1 / LOUDNESS_EXPONENT);
    double ratio = tone->hz / 700 + 700 / tone->hz;
    return bandwidth * (1 - exp(-height_db / 15)) / sqrt(1 + 0.2 * ratio * ratio);
}

/* Loudness of the spectrum with and without what stands out as tones. */
static double tonal_loudness_share(const struct spectrum *spectrum, const struct tone_lines *lines, const double *hz,
                                   size_t count)
{
    double all_pa2[ZWICKER_BAND_COUNT], noise_pa2[ZWICKER_BAND_COUNT], core[ZWICKER_CORE_COUNT];
    for (int band = 0; band < ZWICKER_BAND_COUNT; band++) {
        double centre_hz = 1000 * db_to_power_ratio(ZWICKER_LOWEST_INDEX + band), edge = db_to_power_ratio(0.5),
               width_hz;
        all_pa2[band] = spectrum_power_pa2(spectrum, centre_hz / edge, centre_hz * edge, &width_hz);
        double tones_pa2 = 0;
        for (size_t i = 0; i < count; i++)
            if (hz[i] >= centre_hz / edge && hz[i] < centre_hz * edge)
                tones_pa2 += lines[i].power_pa2;
        noise_pa2[band] = fmax(all_pa2[band] - tones_pa2, 0);
    }
    struct zwicker zwicker;
    zwicker_init(&zwicker, false);
    zwicker_core(&zwicker, all_pa2, core);
    double all_sone = zwicker_loudness_sone(&zwicker, core, NULL);
    zwicker_core(&zwicker, noise_pa2, core);
    double noise_sone = zwicker_loudness_sone(&zwicker, core, NULL);
    return all_sone > 0 ? fmax(1 - noise_sone / all_sone, 0) : 0;
}

/* A steady tone has no width of its own: what is wider than the window's main lobe is. */
static double own_width_bark(const struct tone_lines *lines, double hz, double step_hz)
{
    double width_hz = fmax(lines->width_hz - 5 * step_hz, 0);
    double low = hz_to_bark(fmax(hz - width_hz / 2, 0)), high = hz_to_bark(hz + width_hz / 2);
    return is_given(high) ? high - low : 0;
}

bool aures_tonality(const struct spectrum *spectrum, const double *hz, size_t count, double *tonality_tu,
                    struct err *err)
{
    *tonality_tu = ABSENT;
    if (spectrum->count == 0 || (double)(spectrum->count - 1) * spectrum->step_hz < 11220)
        return true;
    struct tone_lines *lines = memory_new(count, sizeof *lines);
    struct tone_at_ear *tones = memory_new(count, sizeof *tones);
    if (!lines || !tones) {
        free(lines);
        free(tones);
        return err_memory(err);
    }
    size_t heard = 0; /* tones that the bark scale holds and that have power */
    tone_lines_find(spectrum, hz, count, lines);
    double *noise_pa2 = memory_new(count, sizeof *noise_pa2);
    for (size_t i = 0; noise_pa2 && i < count; i++) {
        double bark = hz_to_bark(hz[i]);
        if (!is_given(bark) || !(lines[i].power_pa2 > 0))
            continue;
        noise_pa2[heard] = lines[i].noise_density_pa2_hz * critical_bandwidth_hz(hz[i]);
        tones[heard++] = (struct tone_at_ear){ hz[i], bark, pa2_to_db(lines[i].power_pa2),
                                               own_width_bark(&lines[i], hz[i], spectrum->step_hz) };
    }
    double squares = 0;
    for (size_t i = 0; noise_pa2 && i < heard; i++) {
        double weight = tone_weight(&tones[i], excess_db(tones, heard, i, noise_pa2[i]));
        squares += weight * weight;
    }
    if (noise_pa2)
        *tonality_tu =
            1.09 * pow(sqrt(squares), LOUDNESS_EXPONENT) * pow(tonal_loudness_share(spectrum, lines, hz, count), 0.79);
    bool done = noise_pa2 != NULL;
    free(noise_pa2);
    free(lines);
    free(tones);
    return done ? true : err_memory(err);
}
