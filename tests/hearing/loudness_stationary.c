/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/loudness_stationary.h"
#include "hearing/loudness_time.h"
#include "signals.h"

/* ISO 532-1:2017, annex B.2: worked example 1, machinery noise, free field: 83.296 sone. Levels and result from memory;
 * one unit
 * of the table's last digit is asked here, the standard's own bound is 5 %. */
static void worked_example(void)
{
    static const double level_db[ZWICKER_BAND_COUNT] = { -60, -60, 78, 79, 89, 72, 80, 89, 75, 87, 85, 79, 86, 80,
                                                         71,  70,  72, 71, 72, 74, 69, 65, 67, 77, 68, 58, 45, 30 };
    double power_pa2[ZWICKER_BAND_COUNT], sum = 0;
    struct stationary_loudness got;
    for (int i = 0; i < ZWICKER_BAND_COUNT; i++)
        power_pa2[i] = db_to_pa2(level_db[i]);
    loudness_stationary(power_pa2, false, &got);
    tap_near(got.sone, 83.296, 0.001, "ISO 532-1 annex B.2 signal 1 (from memory), sone");
    tap_near(got.phon, 40 + 10 * log2(83.296), 0.01, "its loudness level, phon");
    for (int i = 0; i < ZWICKER_PATTERN_COUNT; i++)
        sum += got.pattern[i] * 0.1;
    tap_near(sum, 83.296, 0.02 * 83.296, "sum over the specific loudness (1 to 2 %% off by its steps)");
    loudness_stationary(power_pa2, true, &got);
    tap_near(got.sone, 85.575, 0.001, "the same in the diffuse field, sone");
}

static double tone_sone(double hz, double level_db, double rate_hz, bool is_diffuse)
{
    struct signal signal = signal_new(rate_hz, 1.5);
    add_tone(&signal, hz, level_db);
    double sone = hearing_by(&loudness_meter, &signal, 1000, is_diffuse).loudness_stationary_sone;
    free(signal.pa);
    return sone;
}

static void tones(void)
{
    static const struct {
        double hz, level_db, sone;
        const char *source;
    } rows[] = {
        { 1000, 40, 1.0, "definition of the sone" },
        { 1000, 60, 4.019, "ISO 532-1 annex B.3 signal 3, from memory" },
        { 250, 80, 14.655, "ISO 532-1 annex B.3 signal 2, from memory" },
        { 4000, 40, 1.549, "ISO 532-1 annex B.3 signal 4, from memory" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        for (int rate = 0; rate < 5; rate++) {
            static const double rate_hz[] = { 48000, 44100, 64000, 88200, 96000 };
            double got = tone_sone(rows[i].hz, rows[i].level_db, rate_hz[rate], false);
            tap_near(got, rows[i].sone, 0.01 * rows[i].sone, "%g Hz %g dB at %g Hz, sone (%s)", rows[i].hz,
                     rows[i].level_db, rate_hz[rate], rows[i].source);
        }
}

/* Diffuse field: the differences of the field table (from memory) say where it is louder; signal 1 has 85.575 sone by
 * an independent program with the same table. */
static void diffuse_field(void)
{
    tap_ok(tone_sone(1000, 60, 48000, true) > tone_sone(1000, 60, 48000, false),
           "1 kHz is louder in the diffuse field");
    tap_ok(tone_sone(2500, 60, 48000, true) < tone_sone(2500, 60, 48000, false), "2.5 kHz is less loud");
    double low = tone_sone(63, 60, 48000, false);
    tap_near(tone_sone(63, 60, 48000, true), low, 0.01 * low, "low tones are the same in both fields, sone");
}

/* More power in any band never makes a sound less loud: 200 random spectra, each band raised by 0.1 to 10 dB. */
static void never_less_loud(void)
{
    uint64_t seed = 31;
    double worst = 0;
    for (int trial = 0; trial < 200; trial++) {
        double power_pa2[ZWICKER_BAND_COUNT];
        struct stationary_loudness before, after;
        for (int i = 0; i < ZWICKER_BAND_COUNT; i++)
            power_pa2[i] = db_to_pa2(-20 + 130 * random_unit(&seed));
        loudness_stationary(power_pa2, trial % 2, &before);
        for (int i = 0; i < ZWICKER_BAND_COUNT; i++) {
            double kept_pa2 = power_pa2[i];
            power_pa2[i] *= db_to_power_ratio(0.1 + 9.9 * random_unit(&seed));
            loudness_stationary(power_pa2, trial % 2, &after);
            worst = fmax(worst, before.sone - after.sone);
            power_pa2[i] = kept_pa2;
        }
    }
    tap_within(worst, 0, 0, 1e-9, "the most that any louder band took away, sone");
}

int main(void)
{
    worked_example();
    tones();
    diffuse_field();
    never_less_loud();
    return tap_done();
}
