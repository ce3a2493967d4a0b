/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "rotor/floor.h"
#include "rotor/tone.h"
#include "sound.h"

/* Noise floor, tones, and what noise alone does. Bounds: frequency 0.02 % or 0.05 Hz and level for tones 20 dB above
 * the noise in their critical band (accuracy budget of the design page); density of made noise is known in closed form.
 */

#define RATE_HZ 48000.0

static struct err err;

struct heard {
    struct spectrum spectrum;
    double *noise_pa2;
    struct tone *tones;
    size_t count;
};

static struct heard hear(const struct sound *sound, size_t block)
{
    struct heard heard = { .spectrum = sound_spectrum(sound, block) };
    heard.noise_pa2 = must(calloc(heard.spectrum.count, sizeof *heard.noise_pa2));
    tap_ok(floor_estimate(&heard.spectrum, heard.noise_pa2, &err) &&
               tones_find(&heard.spectrum, heard.noise_pa2, TONE_CHANCE, &heard.tones, &heard.count, &err),
           "%zu averages of %.3f Hz: %zu tones", heard.spectrum.block_count, heard.spectrum.step_hz, heard.count);
    return heard;
}

static void heard_clear(struct heard *heard)
{
    free(heard->spectrum.pa2);
    free(heard->noise_pa2);
    free(heard->tones);
}

static const struct tone *near(const struct heard *heard, double hz, double within_hz)
{
    const struct tone *best = NULL;
    for (size_t i = 0; i < heard->count; i++)
        if (fabs(heard->tones[i].hz - hz) <= within_hz &&
            (!best || fabs(heard->tones[i].hz - hz) < fabs(best->hz - hz)))
            best = &heard->tones[i];
    return best;
}

/* Mean of the floor over many lines against the density that was made. */
static void flat_floor(void)
{
    static const double seconds[] = { 3, 10, 60 };
    for (size_t i = 0; i < 3; i++) {
        struct dice dice = { 3 + i };
        struct sound sound = sound_silence(RATE_HZ, seconds[i]);
        sound_add_noise(&sound, 1e-6, &dice);
        struct heard heard = hear(&sound, 65536 / 2);
        double want_pa2 = 1e-6 * heard.spectrum.enbw_lines * heard.spectrum.step_hz;
        for (double hz = 100; hz < 12000; hz *= 2) {
            double sum = 0;
            size_t first = (size_t)(hz / heard.spectrum.step_hz), last = 2 * first;
            for (size_t k = first; k < last; k++)
                sum += heard.noise_pa2[k];
            /* A median of n values of K degrees scatters by 1.25 / sqrt(n K), about 50 lines at 100 Hz: 3 deviations.
             */
            double tolerance_db = 3 * 4.34 * 1.25 / sqrt(50 * floor_independent_blocks(&heard.spectrum)) + 0.15;
            tap_near(power_ratio_to_db(sum / (double)(last - first) / want_pa2), 0, fmin(tolerance_db, 1.5),
                     "floor from %.0f Hz, dB re the density made", hz);
        }
        tap_ok(heard.count <= 1, "noise alone makes no tones (1 in 10 million lines): %zu", heard.count);
        heard_clear(&heard);
        free(sound.pa);
    }
}

/* A third of the lines are tones, 15 Hz apart, and the floor stays. */
static void crowded_floor(void)
{
    struct dice dice = { 8 };
    struct sound sound = sound_silence(RATE_HZ, 10);
    sound_add_noise(&sound, 1e-6, &dice);
    for (int order = 1; order <= 130; order++)
        sound_add_tone(&sound, 15.3 * order, 0.02, dice_between(&dice, 0, 6), 0);
    struct heard heard = hear(&sound, 65536);
    double want_pa2 = 1e-6 * heard.spectrum.enbw_lines * heard.spectrum.step_hz, sum = 0;
    size_t first = (size_t)(200 / heard.spectrum.step_hz), last = (size_t)(1900 / heard.spectrum.step_hz);
    for (size_t k = first; k < last; k++)
        sum += heard.noise_pa2[k];
    tap_near(power_ratio_to_db(sum / (double)(last - first) / want_pa2), 0, 1,
             "floor under 130 tones 15.3 Hz apart, dB");
    int found = 0;
    for (int order = 1; order <= 130; order++)
        found += near(&heard, 15.3 * order, 0.1) != NULL;
    tap_ok(found == 130, "all 130 tones are found: %d", found);
    heard_clear(&heard);
    free(sound.pa);
}

/* Tones anywhere between two lines, 20 dB above the noise in their critical band. */
static void accuracy(void)
{
    struct dice dice = { 5 };
    double worst_hz = 0, worst_db = 0, worst_above_db = 0;
    int missed = 0, count = 0;
    for (int take = 0; take < 3; take++) {
        struct sound sound = sound_silence(RATE_HZ, 8);
        double hz[12];
        sound_add_noise(&sound, 1e-6, &dice);
        for (int i = 0; i < 12; i++) {
            hz[i] = 60 * pow(1.55, i) * dice_between(&dice, 0.95, 1.05);
            double band_hz = 25 + 75 * pow(1 + 1.4e-6 * hz[i] * hz[i], 0.69);
            sound_add_tone(&sound, hz[i], sqrt(1e-6 * band_hz * 100), dice_between(&dice, 0, 6), 0);
        }
        struct heard heard = hear(&sound, 65536);
        for (int i = 0; i < 12; i++, count++) {
            const struct tone *tone = near(&heard, hz[i], 2);
            missed += !tone;
            if (!tone)
                continue;
            double band_hz = 25 + 75 * pow(1 + 1.4e-6 * hz[i] * hz[i], 0.69);
            worst_hz = fmax(worst_hz, fabs(tone->hz - hz[i]) / fmax(0.05, 2e-4 * hz[i]));
            worst_db = fmax(worst_db, fabs(tone->level_db - pa2_to_db(1e-6 * band_hz * 100)));
            worst_above_db = fmax(worst_above_db, fabs(tone->above_noise_db - 20));
        }
        heard_clear(&heard);
        free(sound.pa);
    }
    tap_ok(missed == 0, "%d of %d tones missed", missed, count);
    tap_near(worst_hz, 0, 1, "greatest error of frequency over 0.05 Hz or 0.02 %%");
    /* Noise of 20 lg(1 + 10^(-R/20)) in the line, R its ratio there: 40 dB for 1 Hz of 100. */
    tap_near(worst_db, 0, 0.2, "greatest error of level, dB");
    tap_near(worst_above_db, 0, 1.5, "greatest error of the height above the noise, dB");
}

static void pairs(void)
{
    struct dice dice = { 9 };
    struct sound sound = sound_silence(RATE_HZ, 10);
    sound_add_noise(&sound, 1e-8, &dice);
    sound_add_tone(&sound, 140.2, 0.1, 0.3, 0);
    sound_add_tone(&sound, 143.5, 0.03, 1.3, 0);
    sound_add_tone(&sound, 2000.3, 0.1, 0.3, 0);
    sound_add_tone(&sound, 2004.0, 0.1, 2.3, 0);
    struct heard heard = hear(&sound, 65536);
    const double hz[] = { 140.2, 143.5, 2000.3, 2004.0 };
    const double pa[] = { 0.1, 0.03, 0.1, 0.1 };
    for (int i = 0; i < 4; i++) {
        const struct tone *tone = near(&heard, hz[i], 0.3);
        if (tap_ok(tone != NULL, "%.1f Hz of a pair within one critical band", hz[i])) {
            tap_near(tone->hz, hz[i], fmax(0.05, 2e-4 * hz[i]), "its frequency");
            tap_near(tone->level_db, pa2_to_db(pa[i] * pa[i]), 0.3, "its level");
        }
    }
    tap_ok(heard.count == 4, "side lobes of strong tones are no tones: %zu found, 4 made", heard.count);
    heard_clear(&heard);
    free(sound.pa);
}

/* Hours of blocks: the ratio that noise stays below falls toward 1 and never under it. */
static void many_blocks(void)
{
    struct spectrum spectrum = { .block_count = 1 };
    double last = 1e9;
    for (; spectrum.block_count < 1000000; spectrum.block_count = spectrum.block_count * 3 / 2 + 1) {
        double ratio = floor_outlier_ratio(&spectrum, TONE_CHANCE);
        if (!(ratio > 1 && ratio <= last))
            tap_ok(false, "%zu blocks: ratio %g after %g", spectrum.block_count, ratio, last);
        last = ratio;
    }
    /* Mean 1, standard deviation 1/sqrt(K), 5.2 of them for 1e-7 of a normal distribution, which many blocks make. */
    tap_near(last, 1 + 5.2 / 100, 0.005, "ratio of 10 000 blocks or more");
    spectrum.block_count = 1;
    tap_near(floor_outlier_ratio(&spectrum, 1e-7), -log(1e-7), 1e-6, "one block: exponential, ln(1e7)");
}

static void silence(void)
{
    struct sound sound = sound_silence(RATE_HZ, 3);
    struct heard heard = hear(&sound, 32768);
    tap_ok(heard.count == 0, "silence has no tones");
    heard_clear(&heard);
    free(sound.pa);
}

int main(void)
{
    tap_near(critical_bandwidth_hz(1000), 162.2, 0.05, "critical band at 1 kHz, Hz (from memory, reproduced)");
    tap_near(critical_bandwidth_hz(500), 117.3, 0.05, "critical band at 500 Hz, Hz (from memory, reproduced)");
    flat_floor();
    crowded_floor();
    accuracy();
    pairs();
    silence();
    many_blocks();
    return tap_done();
}
