/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/roughness.h"
#include "signals.h"

static double roughness_of(const struct signal *signal, size_t block)
{
    return hearing_by(&roughness_meter, signal, block, false).roughness_asper;
}

/* Level of the whole modulated sound, as the published experiments give it. */
static double am_asper(double hz, double level_db, double modulation_hz, double depth, double rate_hz)
{
    struct signal signal = signal_new(rate_hz, 1);
    add_am_tone(&signal, hz, level_db - power_ratio_to_db(1 + depth * depth / 2), modulation_hz, depth);
    double asper = roughness_of(&signal, 4096);
    free(signal.pa);
    return asper;
}

/* Just noticeable step of roughness, 17 % (public university page on the asper). */
#define STEP 0.17

/* Definition of the asper; nothing depends on the sample rate (1 % asked). */
static void reference_sound(void)
{
    static const double rate_hz[] = { 44100, 48000, 64000, 96000, 192000 };
    for (size_t i = 0; i < sizeof rate_hz / sizeof rate_hz[0]; i++)
        tap_near(am_asper(1000, 60, 70, 1, rate_hz[i]), 1, 0.01, "1 kHz, 60 dB, 70 Hz, fully modulated at %g Hz, asper",
                 rate_hz[i]);
}

/* Fastl and Zwicker, Psychoacoustics, figure of roughness against modulation rate at 1 kHz: read from memory. */
static void modulation_curve(void)
{
    static const double hz[] = { 20, 30, 40, 50, 60, 70, 100, 140, 200 };
    static const double asper[] = { 0.2, 0.4, 0.65, 0.85, 0.95, 1, 0.75, 0.4, 0.12 };
    double got[sizeof hz / sizeof hz[0]];
    for (size_t i = 0; i < sizeof hz / sizeof hz[0]; i++) {
        got[i] = am_asper(1000, 60, hz[i], 1, 48000);
        tap_near(got[i], asper[i], STEP * asper[i], "1 kHz modulated at %g Hz (curve from memory), asper", hz[i]);
    }
    tell_series("roughness of 1 kHz, 60 dB, at 20/30/40/50/60/70/100/140/200 Hz, asper", asper, got,
                sizeof hz / sizeof hz[0]);
}

/* The same book's figure over carriers: where the maximum lies and how high it is; ranges read from memory, widened by
 * the just noticeable step. */
static void carriers(void)
{
    static const struct {
        double carrier_hz, lowest_peak_hz, highest_peak_hz, least_asper, most_asper;
    } rows[] = { { 125, 30, 30, 0.35, 0.35 }, { 250, 40, 50, 0.5, 0.5 },   { 500, 50, 60, 0.75, 0.8 },
                 { 1000, 70, 70, 1, 1 },      { 2000, 70, 70, 0.85, 0.9 }, { 4000, 70, 70, 0.65, 0.7 },
                 { 8000, 70, 70, 0.4, 0.55 } };
    double middle[sizeof rows / sizeof rows[0]], got[sizeof rows / sizeof rows[0]];
    static const double modulation_hz[] = { 20, 30, 40, 50, 60, 70, 80, 90, 100, 120 };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double most = 0, most_hz = 0, at_low = 0, at_high = 0;
        for (size_t k = 0; k < sizeof modulation_hz / sizeof modulation_hz[0]; k++) {
            double asper = am_asper(rows[i].carrier_hz, 60, modulation_hz[k], 1, 48000);
            if (asper > most) {
                most = asper;
                most_hz = modulation_hz[k];
            }
            if (modulation_hz[k] == rows[i].lowest_peak_hz)
                at_low = asper;
            if (modulation_hz[k] == rows[i].highest_peak_hz)
                at_high = asper;
        }
        got[i] = most;
        middle[i] = (rows[i].least_asper + rows[i].most_asper) / 2;
        double low = rows[i].least_asper * (1 - STEP), high = rows[i].most_asper * (1 + STEP);
        tap_near(most, (low + high) / 2, (high - low) / 2, "%g Hz: largest roughness (at %g Hz), asper",
                 rows[i].carrier_hz, most_hz);
        tap_ok(fmax(at_low, at_high) >= most * (1 - STEP),
               "%g Hz: the published place of the maximum is within a step of it (%.3f of %.3f)", rows[i].carrier_hz,
               fmax(at_low, at_high), most);
    }
    tell_series("largest roughness of carriers of 125/250/500/1000/2000/4000/8000 Hz, asper", middle, got,
                sizeof rows / sizeof rows[0]);
}

static void depth_and_level(void)
{
    tap_near(am_asper(1000, 60, 70, 0.25, 48000), 0.1, STEP * 0.1,
             "modulated by a quarter: limit of audibility, 0.1 asper");
    double ratio = am_asper(1000, 80, 70, 1, 48000) / am_asper(1000, 40, 70, 1, 48000);
    tap_near(ratio, 3, STEP * 3, "40 dB more: about three times as rough (from memory)");
    double steady = am_asper(1000, 60, 70, 0, 48000);
    tap_within(steady, 0, 0, 0.1, "a steady tone is below the limit of audibility, asper");
    struct signal noise = signal_new(48000, 2);
    add_white_noise(&noise, 60 - power_ratio_to_db(24000), 1);
    tap_within(roughness_of(&noise, 4096), 0, 0, 0.1, "so is steady white noise of 60 dB, asper");
    free(noise.pa);
}

static void blocks_and_silence(void)
{
    struct signal signal = signal_new(48000, 1.1);
    tap_near(roughness_of(&signal, 4096), 0, 0, "silence, asper");
    add_am_tone(&signal, 700, 65, 45, 0.7);
    add_white_noise(&signal, 10, 3);
    double whole = roughness_of(&signal, signal.count);
    tap_near(roughness_of(&signal, 1), whole, 0, "fed sample by sample");
    tap_near(roughness_of(&signal, 8192), whole, 0, "fed in blocks of 8192");
    struct figures figures;
    struct meter_setup setup = setup_of(&signal);
    setup.is_absolute = false;
    tap_ok(run_meter(&roughness_meter, &setup, &signal, 8192, &figures) && !is_given(figures.hearing.roughness_asper),
           "absent without an absolute gain");
    figures_clear(&figures);
    free(signal.pa);
    signal = signal_new(48000, 0.19);
    tap_ok(!is_given(roughness_of(&signal, 100)), "absent when shorter than a frame");
    free(signal.pa);
}

/* In two minutes 300 frames are spread evenly: rough in the second minute only is half as rough on average. */
static void long_recording(void)
{
    struct signal signal = signal_new(44100, 120), rough = signal_new(44100, 1);
    add_am_tone(&rough, 1000, 60 - power_ratio_to_db(1.5), 70, 1); /* whole periods: it can be repeated */
    for (size_t i = signal.count / 2; i < signal.count; i++)
        signal.pa[i] = rough.pa[i % rough.count];
    tap_near(roughness_of(&signal, 8192), 0.5, 0.5 * 2 / ROUGHNESS_MOST_FRAMES + 0.005,
             "rough in the second of two minutes, asper");
    free(signal.pa);
    free(rough.pa);
}

int main(void)
{
    reference_sound();
    modulation_curve();
    carriers();
    depth_and_level();
    blocks_and_silence();
    long_recording();
    return tap_done();
}
