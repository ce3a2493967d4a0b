/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/loudness_time.h"
#include "signals.h"

static double vacil_of(const struct signal *signal)
{
    return hearing_by(&loudness_meter, signal, 8192, false).fluctuation_vacil;
}

/* Level of the whole modulated sound. */
static double am_tone_vacil(double hz, double level_db, double modulation_hz, double depth, double rate_hz)
{
    struct signal signal = signal_new(rate_hz, 4.4);
    add_am_tone(&signal, hz, level_db - power_ratio_to_db(1 + depth * depth / 2), modulation_hz, depth);
    double vacil = vacil_of(&signal);
    free(signal.pa);
    return vacil;
}

/* White noise up to 16.5 kHz, about the 16 kHz of broad-band noise in the published experiments. */
static double am_noise_vacil(double level_db, double modulation_hz, double depth)
{
    struct signal signal = signal_new(33000, 6.4);
    add_white_noise(&signal, level_db - power_ratio_to_db(1 + depth * depth / 2) - power_ratio_to_db(16500), 9);
    for (size_t i = 0; i < signal.count; i++)
        signal.pa[i] *= 1 + depth * sin(2 * PI * modulation_hz * (double)i / signal.rate_hz);
    double vacil = vacil_of(&signal);
    free(signal.pa);
    return vacil;
}

/* 1.5 kHz swept by 700 Hz to both sides. */
static double fm_tone_vacil(double level_db, double modulation_hz)
{
    struct signal signal = signal_new(48000, 4.4);
    double amplitude_pa = sqrt(2 * db_to_pa2(level_db));
    for (size_t i = 0; i < signal.count; i++) {
        double t = (double)i / signal.rate_hz;
        double turns = fmod(1500 * t, 1) - 700 / modulation_hz * cos(2 * PI * modulation_hz * t) / (2 * PI);
        signal.pa[i] = amplitude_pa * sin(2 * PI * turns);
    }
    double vacil = vacil_of(&signal);
    free(signal.pa);
    return vacil;
}

/* Definition of the vacil; nothing depends on the sample rate (1 % asked). */
static void reference_sound(void)
{
    static const double rate_hz[] = { 44100, 48000, 64000, 96000 };
    for (size_t i = 0; i < sizeof rate_hz / sizeof rate_hz[0]; i++)
        tap_near(am_tone_vacil(1000, 60, 4, 1, rate_hz[i]), 1, 0.01,
                 "1 kHz, 60 dB, 4 Hz, fully modulated at %g Hz, vacil", rate_hz[i]);
}

/* The bound asked of roughness: its just noticeable step. */
#define STEP 0.17
#define HARDLY_VACIL 0.1 /* limit of what words tell of it, common practice */
/* Modulated by 40 dB. */
#define DEPTH_40_DB 0.98

/* At 4 Hz. Heights of 70 dB tones (1 kHz modulated in amplitude, 1.5 kHz by 700 Hz in frequency) and of 60 dB noise:
 * the measured series tabled with the model of Osses, Garcia and Kohlrausch 2016. Growth of tones: 2.5 times for 40 dB
 * (Fastl and Zwicker, Psychoacoustics). Growth of noise: 0.05 L - 1 (the same book's formula for modulated broad-band
 * noise, whose absolute height disagrees with the series and is not used). All from memory. */
static void heights(void)
{
    for (double level_db = 60; level_db <= 80; level_db += 10) {
        double tones = pow(2.5, (level_db - 70) / 40), noise = (0.05 * level_db - 1) / (0.05 * 60 - 1);
        tap_near(am_tone_vacil(1000, level_db, 4, DEPTH_40_DB, 48000), 1.25 * tones, STEP * 1.25 * tones,
                 "tone modulated in amplitude, %g dB, 4 Hz, vacil", level_db);
        tap_near(fm_tone_vacil(level_db, 4), 2.0 * tones, STEP * 2.0 * tones,
                 "tone modulated in frequency, %g dB, 4 Hz, vacil", level_db);
        tap_near(am_noise_vacil(level_db, 4, DEPTH_40_DB), 1.8 * noise, STEP * 1.8 * noise,
                 "modulated broad-band noise, %g dB, 4 Hz, vacil", level_db);
    }
}

/* Over rate and depth. The book's formula for noise, 1 / ((f/5)^2 + 4/f + 1.5) and 1.25 m - 0.25 (from memory), is
 * followed up to 8 Hz and for half the depth; at a quarter it has nearly nothing, and below 3 dB nothing fluctuates. */
static void noise_over_rate_and_depth(void)
{
    double at_4_hz = am_noise_vacil(60, 4, DEPTH_40_DB), formula_at_4_hz = 1 / (0.64 + 1 + 1.5);
    static const double rate_hz[] = { 1, 2, 8 };
    for (size_t i = 0; i < sizeof rate_hz / sizeof rate_hz[0]; i++) {
        double hz = rate_hz[i], formula = 1 / (hz * hz / 25 + 4 / hz + 1.5) / formula_at_4_hz;
        tap_near(am_noise_vacil(60, hz, DEPTH_40_DB) / at_4_hz, formula, STEP * formula,
                 "noise modulated at %g Hz against 4 Hz", hz);
    }
    tap_near(am_noise_vacil(60, 4, 0.5) / at_4_hz, 0.375, STEP * 0.375, "noise modulated by half against fully");
    tap_near(am_noise_vacil(60, 4, 0.25), 0.0625 * at_4_hz, HARDLY_VACIL, "a quarter of the depth in noise, vacil");
    tap_within(am_tone_vacil(1000, 60, 4, 0.15, 48000), 0, 0, HARDLY_VACIL, "a tone 2.6 dB deep, vacil");
}

/* The measured series at 1 to 32 Hz, tabled with the model of Osses, Garcia and Kohlrausch 2016 (from memory), are
 * steeper or flatter than the published band-pass 2/(f/4 + 4/f), each in its own way: they are told. Of tones the shape
 * is asked. */
#define RATE_COUNT 6
static void series(void)
{
    static const struct {
        const char *what;
        double vacil[RATE_COUNT];
    } rows[] = {
        { "fluctuation of 1 kHz, 70 dB, 40 dB deep, at 1/2/4/8/16/32 Hz, vacil",
          { 0.39, 0.84, 1.25, 1.30, 0.36, 0.06 } },
        { "fluctuation of 1.5 kHz swept by 700 Hz, 70 dB, vacil", { 0.85, 1.17, 2.00, 0.70, 0.27, 0.02 } },
        { "fluctuation of broad-band noise, 60 dB, 40 dB deep, vacil", { 1.12, 1.61, 1.80, 1.57, 0.48, 0.14 } },
    };
    double got[3][RATE_COUNT];
    for (int i = 0; i < RATE_COUNT; i++) {
        got[0][i] = am_tone_vacil(1000, 70, ldexp(1, i), DEPTH_40_DB, 48000);
        got[1][i] = fm_tone_vacil(70, ldexp(1, i));
        got[2][i] = am_noise_vacil(60, ldexp(1, i), DEPTH_40_DB);
    }
    for (int kind = 0; kind < 3; kind++)
        tell_series(rows[kind].what, rows[kind].vacil, got[kind], RATE_COUNT);
    for (int kind = 0; kind < 2; kind++) {
        const double *at = got[kind];
        tap_ok(at[0] < at[1] && at[1] < at[2] && at[2] > at[3] && at[3] > at[4] && at[4] > at[5],
               "tone modulated in %s: largest at 4 Hz, falling to both sides", kind ? "frequency" : "amplitude");
        tap_within(at[5] / at[2], 0, 0, 0.246, "at 32 Hz no more of 4 Hz than the published band-pass lets by");
    }
}

static void what_does_not_fluctuate(void)
{
    tap_within(am_tone_vacil(1000, 60, 4, 0, 48000), 0, 0, 0.01, "a steady tone, vacil");
    tap_within(am_noise_vacil(60, 4, 0), 0, 0, 0.05, "steady white noise, vacil");
    tap_within(am_tone_vacil(1000, 60, 70, 1, 48000), 0, 0, 0.05, "a rough tone, vacil");
    /* 125 patterns a second: 121 Hz would fold onto 4 Hz */
    tap_within(am_tone_vacil(1000, 60, 121, 1, 48000), 0, 0, 0.01, "modulated at 121 Hz, vacil");
    tap_ok(am_noise_vacil(60, 4, DEPTH_40_DB) > 1, "modulated noise fluctuates");
    double quarter = am_tone_vacil(1000, 60, 4, 0.25, 48000), half = am_tone_vacil(1000, 60, 4, 0.5, 48000);
    tap_ok(quarter > 0 && quarter < half && half < 1, "less depth, less fluctuation: %.3f, %.3f, 1", quarter, half);
}

int main(void)
{
    reference_sound();
    heights();
    noise_over_rate_and_depth();
    series();
    what_does_not_fluctuate();
    return tap_done();
}
