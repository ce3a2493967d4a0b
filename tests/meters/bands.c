/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "rig.h"

#include "base/absent.h"
#include "base/units.h"
#include "meters/band_filter.h"
#include "meters/band_meter.h"
#include "meters/decimator.h"

static const struct band *band_at(const struct bands *bands, double nominal_hz)
{
    for (size_t i = 0; i < bands->count; i++)
        if (fabs(bands->items[i].nominal_hz - nominal_hz) < 1e-6 * nominal_hz)
            return &bands->items[i];
    return NULL;
}

static double level_of(const struct band *band)
{
    return band ? band->level_db : ABSENT;
}

static double fmax_of(const struct band *band)
{
    return band ? band->fmax_db : ABSENT;
}

static double smax_of(const struct band *band)
{
    return band ? band->smax_db : ABSENT;
}

static void run(const struct signal *signal, int per_octave, size_t block_frames, struct figures *figures)
{
    figures_init(figures);
    rig_run(per_octave == 3 ? &third_octave_meter : &fraction_meter, signal, per_octave, block_frames, figures);
}

/* Level of each band of white noise: mean square times bandwidth over half the rate, within 3.5 standard deviations,
 * s = 4.34 / sqrt(B T) dB. */
static void white_noise(int per_octave)
{
    struct signal noise = signal_new(48000, 3, 30);
    signal_add_noise(&noise, 1, 20261003);
    struct figures figures;
    run(&noise, per_octave, 0, &figures);
    const struct bands *bands = per_octave == 3 ? &figures.third_octave : &figures.bands;
    double worst = 0;
    for (size_t i = 0; i < bands->count; i++) {
        const struct band *band = &bands->items[i];
        double width_hz = band->high_hz - band->low_hz, deviation_db = 4.34 / sqrt(width_hz * 30);
        double off = (band->level_db - pa2_to_db(width_hz / 24000)) / deviation_db;
        if (!(fabs(off) <= fabs(worst)))
            worst = off;
        if (per_octave <= 3)
            tap_near(band->level_db, pa2_to_db(width_hz / 24000), 3.5 * deviation_db + 0.02,
                     "white noise, 1/%d, %.6g Hz", per_octave, band->nominal_hz);
    }
    tap_near(worst, 0, 4.5, "white noise, 1/%d: %zu bands, the furthest off in standard deviations", per_octave,
             bands->count);
    figures_clear(&figures);
    signal_clear(&noise);
}

static bool same_bits(const struct bands *one, const struct bands *other)
{
    bool is_same = one->count == other->count;
    for (size_t i = 0; is_same && i < one->count; i++) {
        const struct band *a = &one->items[i], *b = &other->items[i];
        is_same = memcmp(&a->level_db, &b->level_db, sizeof a->level_db) == 0 &&
                  memcmp(&a->fmax_db, &b->fmax_db, sizeof a->fmax_db) == 0 &&
                  memcmp(&a->smax_db, &b->smax_db, sizeof a->smax_db) == 0;
    }
    return is_same;
}

static void blocks_do_not_matter(int per_octave)
{
    static const size_t blocks[] = { 1, 333, 4096, 1000000 };
    struct signal noise = signal_new(44100, 0.123, 1.3);
    signal_add_noise(&noise, 1, 5);
    struct figures first;
    run(&noise, per_octave, 8192, &first);
    const struct bands *want = per_octave == 3 ? &first.third_octave : &first.bands;
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++) {
        struct figures figures;
        run(&noise, per_octave, blocks[i], &figures);
        const struct bands *got = per_octave == 3 ? &figures.third_octave : &figures.bands;
        tap_ok(same_bits(got, want), "1/%d: blocks of %zu frames give the same bits", per_octave, blocks[i]);
        figures_clear(&figures);
    }
    figures_clear(&first);
    signal_clear(&noise);
}

/* Without a preroll the lowest filters settle within a recording of 3 s; their settling is left out. */
static void short_recordings(void)
{
    static const double nominal_hz[] = { 20, 25, 50, 100, 1000 };
    for (size_t i = 0; i < sizeof nominal_hz / sizeof nominal_hz[0]; i++) {
        double exact_hz = 1000 * pow(10, round(10 * log10(nominal_hz[i] / 1000)) / 10);
        struct signal sine = signal_sine(48000, exact_hz, 1, 0, 3);
        struct figures figures;
        run(&sine, 3, 0, &figures);
        const struct band *band = band_at(&figures.third_octave, nominal_hz[i]);
        tap_near(level_of(band), pa2_to_db(1), 0.1, "3 s of a %.6g Hz tone without preroll", nominal_hz[i]);
        tap_near(smax_of(band), pa2_to_db(1), 0.5, "and its S maximum");
        figures_clear(&figures);
        signal_clear(&sine);
    }
    struct signal sine = signal_sine(48000, 1000, 1, 0, 0.1);
    struct figures figures;
    run(&sine, 3, 0, &figures);
    const struct band *lowest = band_at(&figures.third_octave, 20), *middle = band_at(&figures.third_octave, 1000);
    tap_ok(lowest && !is_given(lowest->level_db) && !is_given(lowest->fmax_db),
           "0.1 s says nothing of the 20 Hz band (B T below 1): absent");
    tap_near(level_of(middle), pa2_to_db(1), 0.1, "but of the 1 kHz band");
    figures_clear(&figures);
    signal_clear(&sine);
}

/* A steady tone reads in every band what the closed form of its Butterworth filter says (band_filter.h); the decimators
 * before it may take off 0.1 dB where -50 dB pass. */
static void skirts(double rate_hz, double tone_hz)
{
    struct signal sine = signal_sine(rate_hz, tone_hz, 1, 4, 8);
    struct figures figures;
    run(&sine, 3, 0, &figures);
    double worst_db = 0;
    int count = 0;
    for (size_t i = 0; i < figures.third_octave.count; i++) {
        const struct band *band = &figures.third_octave.items[i];
        struct band_response response = band_meter_response(band, rate_hz);
        double passed_db = power_ratio_to_db(band_response_ratio(&response, tone_hz));
        if (passed_db < -50)
            continue;
        double off_db = band->level_db - pa2_to_db(1) - passed_db;
        count++;
        if (!(fabs(off_db) <= fabs(worst_db)))
            worst_db = off_db;
    }
    tap_ok(count >= 2, "a tone of %g Hz at a rate of %g Hz stands in %d bands", tone_hz, rate_hz, count);
    tap_near(worst_db, 0, 0.1, "each as the closed form says, the furthest off in dB");
    figures_clear(&figures);
    signal_clear(&sine);
}

/* A recording that is used from its first frame on: a blade tone that is suddenly there must not ring in the bands
 * below it. The same frames behind a second of preroll tell what is right; the difference left is that of noise within
 * the settling that only one of them leaves out, 4.34 / sqrt(B T) dB weighed by its share of the time. */
static void tone_from_the_start(double tone_hz)
{
    const double seconds = 6;
    struct signal late = signal_new(48000, 1, seconds);
    signal_add_sine(&late, tone_hz, 1, 0.25);
    signal_add_noise(&late, 0.003, 77);
    struct signal early = signal_new(48000, 0, seconds);
    memcpy(early.pa, late.pa + late.preroll_frames, early.frame_count * sizeof *early.pa);
    struct figures want, got;
    run(&late, 3, 0, &want);
    run(&early, 3, 0, &got);
    for (size_t i = 0; i < want.third_octave.count && want.third_octave.items[i].high_hz < tone_hz; i++) {
        const struct band *band = &want.third_octave.items[i];
        double settling_s = 0.25 + 2.5 / (band->high_hz - band->low_hz);
        double deviation_db = 4.34 / sqrt((band->high_hz - band->low_hz) * settling_s) * settling_s / seconds;
        tap_near(got.third_octave.items[i].level_db, band->level_db, 0.1 + 3 * deviation_db,
                 "%g Hz tone from the first frame on: %g Hz band, %.0f dB below it", tone_hz, band->nominal_hz,
                 pa2_to_db(1) - band->level_db);
    }
    figures_clear(&want);
    figures_clear(&got);
    signal_clear(&late);
    signal_clear(&early);
}

/* F and S maxima of a burst in its band: 200 ms at 1 kHz, long against the filter (bandwidth 232 Hz). */
static void maxima(void)
{
    struct signal burst = signal_new(48000, 0, 16);
    for (size_t i = 0; i < 9600; i++)
        burst.pa[12 * 48000 + i] = sqrt(2) * sin(2 * PI * 1000 * (double)i / 48000);
    struct figures figures;
    run(&burst, 3, 0, &figures);
    const struct band *band = band_at(&figures.third_octave, 1000);
    tap_near(fmax_of(band), pa2_to_db(1 - exp(-0.2 / 0.125)), 0.1, "F maximum of a burst of 200 ms");
    tap_near(smax_of(band), pa2_to_db(1 - exp(-0.2)), 0.1, "S maximum");
    tap_near(level_of(band), pa2_to_db(0.2 / 16), 0.1, "and its Leq over 16 s");
    figures_clear(&figures);
    signal_clear(&burst);
}

static void silence_and_offset(void)
{
    struct signal signal = signal_new(48000, 0, 2);
    for (size_t i = 0; i < signal.frame_count; i++)
        signal.pa[i] = -7;
    struct figures figures;
    run(&signal, 3, 0, &figures);
    bool is_silent = figures.third_octave.count > 0;
    for (size_t i = 0; i < figures.third_octave.count; i++)
        is_silent = is_silent && isinf(figures.third_octave.items[i].level_db);
    tap_ok(is_silent, "a constant is silence in every band, from the first frame on");
    figures_clear(&figures);
    signal_clear(&signal);
}

static void fractions(void)
{
    struct meter_setup setup = { .sample_rate_hz = 48000, .frame_count = 1000, .bands_per_octave = 5 };
    struct err err = { 0 };
    tap_ok(fraction_meter.create(&setup, &err) == NULL && err.kind == ERR_RANGE, "1/5 octave is refused: %s", err.text);
    struct signal noise = signal_new(48000, 0, 1);
    signal_add_noise(&noise, 1, 9);
    struct figures figures;
    figures_init(&figures);
    rig_run(&fraction_meter, &noise, 3, 0, &figures);
    tap_ok(figures.bands.count == 0, "third octaves are not measured twice");
    figures_clear(&figures);
    signal_clear(&noise);
}

/* Class 1 needs what folds back to be down; the design says 85 dB from 0.35 of the rate on, flat up to 0.15. */
static double decimator_gain_db(double turns)
{
    enum { COUNT = 4096 };
    static double input[COUNT], output[COUNT / 2], even[COUNT + 64], odd[COUNT + 64];
    memset(even, 0, sizeof even);
    memset(odd, 0, sizeof odd);
    struct decimator decimator;
    decimator_init(&decimator, even, odd);
    double sum = 0;
    for (int quarter = 0; quarter < 2; quarter++) {
        for (int i = 0; i < COUNT; i++)
            input[i] = sin(2 * PI * (turns * i + 0.25 * quarter));
        memset(even, 0, sizeof even);
        memset(odd, 0, sizeof odd);
        decimator_run(&decimator, input, COUNT, output);
        for (int i = 64; i < COUNT / 2; i++)
            sum += output[i] * output[i];
    }
    return power_ratio_to_db(sum / (COUNT / 2 - 64));
}

static void decimation(void)
{
    double ripple_db = 0, stop_db = -INFINITY;
    for (int i = 0; i <= 30; i++)
        ripple_db = fmax(ripple_db, fabs(decimator_gain_db(0.005 * i)));
    for (int i = 0; i <= 30; i++)
        stop_db = fmax(stop_db, decimator_gain_db(0.35 + 0.005 * i));
    tap_near(ripple_db, 0, 0.0005, "halving the rate: gain up to 0.15 of it");
    tap_ok(stop_db <= -85, "and from 0.35 on: %.1f dB, at most -85", stop_db);
}

int main(void)
{
    white_noise(1);
    white_noise(3);
    white_noise(12);
    blocks_do_not_matter(3);
    blocks_do_not_matter(12);
    short_recordings();
    tone_from_the_start(140);
    tone_from_the_start(90);
    maxima();
    silence_and_offset();
    fractions();
    decimation();
    static const double tones_hz[] = { 47, 100, 163, 271, 440, 701, 1111, 2900, 7000 };
    for (size_t i = 0; i < sizeof tones_hz / sizeof tones_hz[0]; i++) {
        skirts(48000, tones_hz[i]);
        skirts(24000, tones_hz[i]);
    }
    return tap_done();
}
