/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/loudness_bands.h"
#include "signals.h"

#include <complex.h>

/* ISO 532-1:2017, annex A.2: coefficients of the filters at 48 kHz, 25 to 250 Hz (from memory): per band the three
 * denominators 1 + a1/z + a2/z^2 and the gain of all; the numerators multiply to (1 - 1/z^2)^3. */
static const struct {
    double nominal_hz, exact_hz;
    double a[3][2];
    double gain;
} annex[] = {
    { 25,
      25.11886,
      { { -1.99932974, 0.999340547 }, { -1.999624929, 0.999638074 }, { -1.999693477, 0.999702366 } },
      4.30764e-11 },
    { 31.5,
      31.62278,
      { { -1.999152742, 0.999169869 }, { -1.999523552, 0.999544384 }, { -1.999611227, 0.999625315 } },
      8.5934e-11 },
    { 40,
      39.81072,
      { { -1.9989279, 0.99895504 }, { -1.999393433, 0.999426447 }, { -1.999505996, 0.999528323 } },
      1.71424e-10 },
    { 50,
      50.11872,
      { { -1.99864164, 0.99868465 }, { -1.999225673, 0.999277993 }, { -1.999370846, 0.999406229 } },
      3.41944e-10 },
    { 63,
      63.09573,
      { { -1.9982762, 0.99834436 }, { -1.99900822, 0.999091134 }, { -1.999196471, 0.999252545 } },
      6.82035e-10 },
    { 80,
      79.43282,
      { { -1.99780812, 0.99791612 }, { -1.99872455, 0.99885594 }, { -1.99897024, 0.9990591 } },
      1.36026e-09 },
    { 100,
      100.00000,
      { { -1.99720614, 0.99737726 }, { -1.99835172, 0.99855994 }, { -1.9986748, 0.99881562 } },
      2.71261e-09 },
    { 125,
      125.89254,
      { { -1.99642818, 0.99669929 }, { -1.99785748, 0.99818742 }, { -1.99828603, 0.99850918 } },
      5.4087e-09 },
    { 160,
      158.48932,
      { { -1.99541695, 0.99584645 }, { -1.99719587, 0.99771865 }, { -1.99776994, 0.99812354 } },
      1.07826e-08 },
    { 200,
      199.52623,
      { { -1.99409345, 0.99477378 }, { -1.99630053, 0.99712882 }, { -1.99707795, 0.99763822 } },
      2.1491e-08 },
    { 250,
      251.18864,
      { { -1.99234757, 0.99342507 }, { -1.9950746, 0.99638682 }, { -1.99613993, 0.9970276 } },
      4.28228e-08 },
};
#define ANNEX_COUNT (sizeof annex / sizeof annex[0])

static double annex_db(size_t band, double hz)
{
    double complex delay = cexp(CMPLX(0, -2 * PI * hz / 48000)), response = annex[band].gain;
    for (size_t s = 0; s < 3; s++)
        response *= (1 - delay * delay) / (1 + annex[band].a[s][0] * delay + annex[band].a[s][1] * delay * delay);
    return amplitude_ratio_to_db(cabs(response));
}

/* What the bands show of a tone of 1 Pa rms, after settling, in dB re its power. */
static void bank_db(double hz, double rate_hz, double out[ZWICKER_BAND_COUNT])
{
    struct signal signal = signal_new(rate_hz, 3);
    struct loudness_bands *bands = calloc(1, sizeof *bands);
    double power_pa2[LOUDNESS_CHUNK_MOST_LEVELS][ZWICKER_BAND_COUNT], sum_pa2[ZWICKER_BAND_COUNT] = { 0 };
    size_t row_end[LOUDNESS_CHUNK_MOST_LEVELS], count = 0;
    if (!bands)
        abort();
    loudness_bands_init(bands, rate_hz);
    add_tone(&signal, hz, pa2_to_db(1));
    for (size_t from = 0; from + LOUDNESS_CHUNK_FRAMES <= signal.count; from += LOUDNESS_CHUNK_FRAMES) {
        size_t rows = loudness_bands_run(bands, signal.pa + from, power_pa2, row_end);
        for (size_t row = 0; row < rows && (double)from > 1.5 * rate_hz; row++, count++)
            for (size_t band = 0; band < ZWICKER_BAND_COUNT; band++)
                sum_pa2[band] += power_pa2[row][band];
    }
    for (size_t band = 0; band < ZWICKER_BAND_COUNT; band++)
        out[band] = power_ratio_to_db(sum_pa2[band] / (double)count);
    free(bands);
    free(signal.pa);
}

/* The bank at the middle of every band and of its neighbours, against the annex. Class 1 of IEC 61260-1:2014 leaves
 * 0.4 dB in the middle of a band (from memory); a tenth of it is asked there. On the flanks, where loudness feels a
 * decibel of a band 20 dB down as 0.1 %, a decibel is asked down to -50 dB. */
static void against_annex(double rate_hz)
{
    double worst_middle_db = 0, worst_flank_db = 0;
    for (size_t tone = 0; tone < ANNEX_COUNT; tone++) {
        double got_db[ZWICKER_BAND_COUNT];
        bank_db(annex[tone].exact_hz, rate_hz, got_db);
        for (size_t band = 0; band < ANNEX_COUNT; band++) {
            double want_db = annex_db(band, annex[tone].exact_hz), off_db = fabs(got_db[band] - want_db);
            if (band == tone)
                worst_middle_db = fmax(worst_middle_db, off_db);
            else if (want_db > -50)
                worst_flank_db = fmax(worst_flank_db, off_db);
        }
    }
    tap_near(worst_middle_db, 0, 0.04, "25 to 250 Hz at %g Hz: worst in the middle of a band, dB", rate_hz);
    tap_near(worst_flank_db, 0, 1, "worst on the flanks down to -50 dB, dB");
}

/* White noise comes out with the band's share of its power: the effective bandwidth. IEC 61260:1995 leaves class 1
 * filters 0.3 dB (from memory); besides, three standard deviations of noise of 58 s. */
static void every_band(void)
{
    struct signal signal = signal_new(48000, 60);
    struct loudness_bands *bands = calloc(1, sizeof *bands);
    double power_pa2[LOUDNESS_CHUNK_MOST_LEVELS][ZWICKER_BAND_COUNT], sum_pa2[ZWICKER_BAND_COUNT] = { 0 };
    size_t row_end[LOUDNESS_CHUNK_MOST_LEVELS], count = 0;
    if (!bands)
        abort();
    add_white_noise(&signal, 40, 12);
    loudness_bands_init(bands, 48000);
    for (size_t from = 0; from + LOUDNESS_CHUNK_FRAMES <= signal.count; from += LOUDNESS_CHUNK_FRAMES) {
        size_t rows = loudness_bands_run(bands, signal.pa + from, power_pa2, row_end);
        for (size_t row = 0; row < rows && from > 96000; row++, count++)
            for (size_t band = 0; band < ZWICKER_BAND_COUNT; band++)
                sum_pa2[band] += power_pa2[row][band];
    }
    for (int band = 0; band < ZWICKER_BAND_COUNT; band++) {
        double middle_hz = 1000 * db_to_power_ratio(band - 16),
               width_hz = middle_hz * (db_to_power_ratio(0.5) - db_to_power_ratio(-0.5));
        double scatter_db = 3 * 10 / log(10) / sqrt(width_hz * 58); /* three standard deviations of noise of 58 s */
        tap_near(pa2_to_db(sum_pa2[band] / (double)count), 40 + power_ratio_to_db(width_hz), 0.3 + scatter_db,
                 "white noise of 40 dB/Hz in the band at %.4g Hz, dB", middle_hz);
    }
    free(bands);
    free(signal.pa);
}

/* A half-band filter by its taps, at the highest frequency that matters (a part of its input rate) and at what folds
 * onto it: 80 dB down is the header's word. */
static void half_bands(void)
{
    static const struct {
        size_t pairs;
        double pass;
        const char *what;
    } rows[] = { { 6, 3600 / 44100.0, "inner: the skirt of the 2 kHz band at 44.1 kHz" },
                 { 6, 14125 / 160000.0, "outer, not the last: 12.5 kHz band at 160 kHz" },
                 { 10, 14125 / 80000.0, "outer, the last: 12.5 kHz band at 80 kHz" } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct half_band filter;
        half_band_init(&filter, rows[i].pairs, 80);
        double worst_pass = 0, worst_stop = 0;
        for (double f = 0; f <= rows[i].pass; f += rows[i].pass / 200) {
            double pass = 0.5, stop = 0.5;
            for (size_t k = 0; k < rows[i].pairs; k++) {
                pass += 2 * filter.tap[k] * cos(2 * PI * f * (double)(2 * k + 1));
                stop += 2 * filter.tap[k] * cos(2 * PI * (0.5 - f) * (double)(2 * k + 1));
            }
            worst_pass = fmax(worst_pass, fabs(amplitude_ratio_to_db(pass)));
            worst_stop = fmax(worst_stop, fabs(stop));
        }
        tap_within(worst_pass, 0, 0, 0.01, "%s: pass band, dB", rows[i].what);
        tap_within(amplitude_ratio_to_db(worst_stop), -80, 120, 0, "what folds onto it, dB");
    }
}

int main(void)
{
    half_bands();
    against_annex(48000);
    against_annex(44100);
    against_annex(64000);
    every_band();
    return tap_done();
}
