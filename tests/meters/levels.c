/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "rig.h"

#include "base/absent.h"
#include "base/units.h"
#include "meters/band_meter.h"
#include "meters/level_meter.h"

#define ONE_PA_DB 93.9794 /* 20 lg(1 Pa / 20 uPa), ISO 1683:2015 */

static void one_pascal_reads_94(void)
{
    struct signal sine = signal_whole_sine(48000, 1000, 1, 0, 4);
    struct levels levels = rig_levels(&sine);
    tap_near(levels.laeq_db, ONE_PA_DB, 0.02, "LAeq of a sine of 1 Pa at 1 kHz, no preroll");
    tap_near(levels.lceq_db, ONE_PA_DB, 0.02, "LCeq");
    tap_near(levels.lzeq_db, ONE_PA_DB, 0.02, "LZeq");
    tap_near(levels.lae_db, ONE_PA_DB + 6.0206, 0.02, "LAE of 4 s: 10 lg 4 more");
    tap_near(levels.lafmax_db, ONE_PA_DB, 0.1, "LAFmax");
    tap_near(levels.lafmin_db, ONE_PA_DB, 0.1, "LAFmin of a steady tone without a preroll");
    tap_near(levels.lasmax_db, ONE_PA_DB, 0.1, "LASmax");
    tap_near(levels.la10_db, ONE_PA_DB, 0.02, "LA10");
    tap_near(levels.la90_db, ONE_PA_DB, 0.02, "LA90");
    tap_near(levels.lcpeak_db, ONE_PA_DB + 3.0103, 0.05, "LCpeak: the crest of a sine is 3.01 dB above its rms");
    signal_clear(&sine);
}

/* Energies of incoherent sources add (two of one level: 10 lg 2); amplitudes scale (twice: 20 lg 2). */
static void sources_add(void)
{
    struct signal one = signal_new(48000, 0.5, 20), other = signal_new(48000, 0.5, 20);
    signal_add_noise(&one, 0.1, 1);
    signal_add_noise(&other, 0.1, 2);
    double one_db = rig_levels(&one).laeq_db, other_db = rig_levels(&other).laeq_db;
    size_t count = one.preroll_frames + one.frame_count;
    for (size_t i = 0; i < count; i++)
        other.pa[i] += one.pa[i];
    /* Correlation of two independent noises of 20 s: about 1/sqrt(2 B T), B above 8 kHz, so 0.01 dB is five deviations.
     */
    double sum_db = power_ratio_to_db(db_to_power_ratio(one_db) + db_to_power_ratio(other_db));
    tap_near(rig_levels(&other).laeq_db, sum_db, 0.04, "two incoherent noises add as energies");
    tap_near(sum_db - one_db, 3.0103, 0.06, "which for equal ones is 3.01 dB");
    for (size_t i = 0; i < count; i++)
        one.pa[i] *= 2;
    tap_near(rig_levels(&one).laeq_db - one_db, 20 * log10(2), 1e-9, "twice the pressure is 6.02 dB more");
    signal_clear(&one);
    signal_clear(&other);
}

static bool same_bits(const struct levels *one, const struct levels *other)
{
    return memcmp(one, other, sizeof *one) == 0;
}

static void blocks_do_not_matter(void)
{
    static const size_t blocks[] = { 1, 7, 1000, 4096, 1000000 };
    struct signal noise = signal_new(44100, 0.31, 2.7);
    signal_add_noise(&noise, 1, 3);
    struct levels first = rig_levels(&noise);
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++) {
        struct figures figures;
        figures_init(&figures);
        rig_run(&level_meter, &noise, 0, blocks[i], &figures);
        tap_ok(same_bits(&first, &figures.levels), "blocks of %zu frames give the same bits", blocks[i]);
        figures_clear(&figures);
    }
    signal_clear(&noise);
}

/* 94 dB for 6 s of 10, then 74 dB: F takes 20 / 34.7 = 0.58 s to fall. */
static void percentiles_of_two_levels(void)
{
    struct signal signal = signal_sine(48000, 1000, 1, 0, 10);
    for (size_t i = 6 * 48000; i < signal.frame_count; i++)
        signal.pa[i] *= 0.1;
    struct levels levels = rig_levels(&signal);
    tap_near(levels.la10_db, ONE_PA_DB, 0.02, "LA10 of 6 s at 94 dB and 4 s at 74 dB");
    tap_near(levels.la50_db, ONE_PA_DB, 0.02, "LA50");
    tap_near(levels.la90_db, ONE_PA_DB - 20, 0.05, "LA90");
    tap_near(levels.lafmin_db, ONE_PA_DB - 20, 0.05, "LAFmin");
    tap_near(levels.laeq_db, pa2_to_db(0.6 + 0.4 * 0.01), 0.02, "LAeq: 10 lg of the mean square");
    signal_clear(&signal);
}

/* A bang of 114 dB and 0.1 s that ends 0.1 s before the used part of 54 dB. A detector F that had heard it would rise
 * to 2.6 dB below it (IEC 61672-1:2013, table 4), fall at 34.7 dB/s (5.8.2) and read 108 dB at the first frame. */
static void preroll_is_not_measured(void)
{
    struct signal signal = signal_sine(48000, 1000, 0.01, 1, 4);
    for (size_t i = 38400; i < 43200; i++)
        signal.pa[i] *= 1000;
    struct levels levels = rig_levels(&signal);
    tap_near(levels.laeq_db, ONE_PA_DB - 40, 0.02, "a bang in the preroll is not in LAeq");
    tap_near(levels.lcpeak_db, ONE_PA_DB - 40 + 3.01, 0.05, "nor in LCpeak");
    tap_near(levels.lafmax_db, ONE_PA_DB - 40, 0.1, "nor in LAFmax");
    tap_near(levels.lasmax_db, ONE_PA_DB - 40, 0.1, "nor in LASmax");
    tap_near(levels.lafmin_db, ONE_PA_DB - 40, 0.1, "nor in LAFmin");
    tap_near(levels.la10_db, ONE_PA_DB - 40, 0.02, "nor in LA10");
    struct figures figures;
    figures_init(&figures);
    rig_run(&third_octave_meter, &signal, 3, 0, &figures);
    for (size_t i = 0; i < figures.third_octave.count; i++) {
        const struct band *band = &figures.third_octave.items[i];
        if (band->nominal_hz == 1000) {
            tap_near(band->fmax_db, ONE_PA_DB - 40, 0.1, "nor in the F maximum of its band");
            tap_near(band->smax_db, ONE_PA_DB - 40, 0.1, "nor in the S maximum");
        }
    }
    figures_clear(&figures);
    signal_clear(&signal);
}

static void silence_and_little(void)
{
    struct signal signal = signal_new(48000, 0, 1);
    struct levels levels = rig_levels(&signal);
    tap_ok(isinf(levels.laeq_db) && levels.laeq_db < 0 && isinf(levels.lcpeak_db) && isinf(levels.la50_db),
           "silence is -infinity, not absent");
    signal.frame_count = 0;
    levels = rig_levels(&signal);
    tap_ok(!is_given(levels.laeq_db) && !is_given(levels.la50_db) && !is_given(levels.lafmax_db),
           "no frames: every level is absent");
    signal_clear(&signal);
    signal = signal_sine(48000, 1000, 1, 0, 0.05);
    levels = rig_levels(&signal);
    tap_near(levels.laeq_db, ONE_PA_DB, 0.1, "0.05 s still has an LAeq");
    tap_ok(!is_given(levels.lafmin_db) && !is_given(levels.la90_db), "but neither LAFmin nor percentiles");
    signal_clear(&signal);
}

/* An offset of the converter is no sound: the same levels with it and without. */
static void offset_is_no_sound(void)
{
    struct signal clean = signal_sine(48000, 200, 0.01, 0, 3), moved = signal_sine(48000, 200, 0.01, 0, 3);
    for (size_t i = 0; i < moved.frame_count; i++)
        moved.pa[i] += 10;
    struct levels levels = rig_levels(&clean), with = rig_levels(&moved);
    tap_near(with.laeq_db, levels.laeq_db, 1e-6, "LAeq with an offset 60 dB above the tone");
    tap_near(with.lafmax_db, levels.lafmax_db, 1e-6, "LAFmax");
    tap_near(with.lcpeak_db, levels.lcpeak_db, 1e-3, "LCpeak");
    tap_near(with.lzeq_db, levels.lzeq_db, 1e-3, "LZeq");
    signal_clear(&clean);
    signal_clear(&moved);
}

static void rates(void)
{
    static const double rates_hz[] = { 8000, 11025, 16000, 22050, 24000, 384000 };
    for (size_t i = 0; i < sizeof rates_hz / sizeof rates_hz[0]; i++) {
        struct signal sine = signal_whole_sine(rates_hz[i], 1000, 1, 0, 0.5);
        struct figures figures;
        figures_init(&figures);
        rig_run(&level_meter, &sine, 0, 0, &figures);
        tap_near(figures.levels.laeq_db, ONE_PA_DB, 0.02, "LAeq at %.0f Hz", rates_hz[i]);
        tap_near(figures.highest_hz, fmin(20000, 0.45 * rates_hz[i]), 1e-6, "and what part of the range it holds");
        figures_clear(&figures);
        signal_clear(&sine);
    }
    struct meter_setup setup = { .sample_rate_hz = 4000, .frame_count = 100 };
    struct err err = { 0 };
    tap_ok(level_meter.create(&setup, &err) == NULL && err.kind == ERR_RANGE, "4000 Hz is refused: %s", err.text);
}

int main(void)
{
    one_pascal_reads_94();
    sources_add();
    blocks_do_not_matter();
    percentiles_of_two_levels();
    preroll_is_not_measured();
    silence_and_little();
    offset_is_no_sound();
    rates();
    return tap_done();
}
