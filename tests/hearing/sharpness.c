/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/fft.h"
#include "hearing/loudness_time.h"
#include "signals.h"

#include <complex.h>

#define PERIOD 19200 /* 0.4 s at 48 kHz */

/* Bands of noise as sums of equal tones 2.5 Hz apart with random phases, repeated: no power leaks out of the band, and
 * the mean of a periodic sound has no scatter. */
static struct signal band_noise(double low_hz, double high_hz, double level_db, uint64_t seed)
{
    struct err err;
    struct signal signal = signal_new(48000, 1.6);
    struct fft *fft = fft_new(PERIOD, &err);
    if (!fft)
        abort();
    double step_hz = 48000.0 / PERIOD;
    size_t first = (size_t)ceil(low_hz / step_hz), last = (size_t)floor(high_hz / step_hz);
    double half_amplitude_pa = sqrt(2 * db_to_pa2(level_db) / (double)(last - first + 1)) / 2;
    memset(fft->lines, 0, fft->line_count * sizeof *fft->lines);
    for (size_t k = first; k <= last; k++)
        fft->lines[k] = half_amplitude_pa * cexp(CMPLX(0, 2 * PI * random_unit(&seed)));
    fft_backward(fft);
    for (size_t i = 0; i < signal.count; i++)
        signal.pa[i] = fft->signal[i % PERIOD];
    fft_free(fft);
    return signal;
}

static struct hearing_figures hearing_of(const struct signal *signal)
{
    return hearing_by(&loudness_meter, signal, 8192, false);
}

/* Sharpness of a band at 4 sone: the level is found by repeated scaling. */
static double acum_at_4_sone(double low_hz, double high_hz)
{
    struct signal signal = band_noise(low_hz, high_hz, 60, 11);
    struct hearing_figures hearing = hearing_of(&signal);
    for (int i = 0; i < 4; i++) {
        double scale = db_to_amplitude_ratio(10 * log2(4 / hearing.loudness_stationary_sone));
        for (size_t k = 0; k < signal.count; k++)
            signal.pa[k] *= scale;
        hearing = hearing_of(&signal);
    }
    free(signal.pa);
    return hearing.sharpness_acum;
}

/* DIN 45692:2009-08, tables of standard sounds at 4 sone (from memory): noise one critical band wide about a frequency,
 * and noise from a lower limit to 10 kHz. The standard's bound: 5 % or 0.05 acum, whichever is larger. */
static const struct {
    double hz, low_hz, high_hz, narrow_acum, broad_acum;
} rows[] = {
    { 250, 200, 300, 0.38, 2.70 },    { 350, 300, 400, 0.49, 2.74 },    { 450, 400, 510, 0.60, 2.78 },
    { 570, 510, 630, 0.71, 2.85 },    { 700, 630, 770, 0.82, 2.91 },    { 840, 770, 920, 0.93, 2.96 },
    { 1000, 920, 1080, 1.00, 3.05 },  { 1170, 1080, 1270, 1.13, 3.12 }, { 1370, 1270, 1480, 1.26, 3.20 },
    { 1600, 1480, 1720, 1.35, 3.30 }, { 1850, 1720, 2000, 1.49, 3.42 }, { 2150, 2000, 2320, 1.64, 3.53 },
    { 2500, 2320, 2700, 1.78, 3.69 }, { 2900, 2700, 3150, 2.06, 3.89 }, { 3400, 3150, 3700, 2.40, 4.12 },
    { 4000, 3700, 4400, 2.82, 4.49 }, { 4800, 4400, 5300, 3.48, 5.04 }, { 5800, 5300, 6400, 4.43, 5.69 },
    { 7000, 6400, 7700, 5.52, 6.47 }, { 8500, 7700, 9500, 6.81, 7.46 }, { 10500, 9500, 12000, 8.55, ABSENT },
};

static void standard_sounds(void)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double narrow = acum_at_4_sone(rows[i].low_hz, rows[i].high_hz);
        tap_near(narrow, rows[i].narrow_acum, fmax(0.05, 0.05 * rows[i].narrow_acum),
                 "narrow band at %g Hz, 4 sone, acum", rows[i].hz);
        if (!is_given(rows[i].broad_acum))
            continue;
        double broad = acum_at_4_sone(rows[i].hz, 10000);
        tap_near(broad, rows[i].broad_acum, fmax(0.05, 0.05 * rows[i].broad_acum), "%g Hz to 10 kHz, 4 sone, acum",
                 rows[i].hz);
    }
}

/* Figure 1 of the standard: noise of equal level in every critical band, and the part of it above 3150 Hz. The exact
 * limits of its bands are not printed: 60 dB a band from 20 Hz to 15.5 kHz is taken, and its bound of 5 %. */
static void figure_1(void)
{
    static const double edge_hz[] = { 20,   100,  200,  300,  400,  510,  630,  770,  920,  1080, 1270,  1480, 1720,
                                      2000, 2320, 2700, 3150, 3700, 4400, 5300, 6400, 7700, 9500, 12000, 15500 };
    static const struct {
        size_t first;
        double acum;
        const char *name;
    } sounds[] = { { 0, 1.98, "broad-band noise" }, { 16, 3.64, "high-pass noise above 16 bark" } };
    for (size_t s = 0; s < 2; s++) {
        struct signal signal = signal_new(48000, 1.6);
        for (size_t band = sounds[s].first; band < 24; band++) {
            struct signal part = band_noise(edge_hz[band] + 1, edge_hz[band + 1] - 1, 60, 50 + band);
            for (size_t i = 0; i < signal.count; i++)
                signal.pa[i] += part.pa[i];
            free(part.pa);
        }
        tap_near(hearing_of(&signal).sharpness_acum, sounds[s].acum, 0.05 * sounds[s].acum,
                 "DIN 45692 figure 1: %s, acum", sounds[s].name);
        free(signal.pa);
    }
}

int main(void)
{
    struct signal reference = band_noise(920, 1080, 60, 3);
    tap_near(hearing_of(&reference).sharpness_acum, 1, 0.005,
             "reference sound of DIN 45692 (920 to 1080 Hz, 60 dB), acum");
    for (size_t i = 0; i < reference.count; i++)
        reference.pa[i] = 0;
    tap_ok(!is_given(hearing_of(&reference).sharpness_acum), "silence has no sharpness");
    free(reference.pa);
    standard_sounds();
    figure_1();
    return tap_done();
}
