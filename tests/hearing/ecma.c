/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/critical_band.h"
#include "hearing/ecma.h"
#include "spectra.h"

/* ECMA-418-1 clause 10: worked numbers (from memory). */
static void critical_bands(void)
{
    double low_hz, high_hz;
    tap_near(critical_bandwidth_hz(1000), 162.2, 0.05, "critical bandwidth at 1 kHz, Hz");
    tap_near(critical_bandwidth_hz(500), 117.3, 0.05, "at 500 Hz");
    critical_band_ecma(1000, &low_hz, &high_hz);
    tap_near(low_hz, 922.2, 0.05, "lower edge of the band at 1 kHz, Hz");
    tap_near(high_hz, 1084.4, 0.05, "upper edge");
    critical_band_ecma(250, &low_hz, &high_hz);
    tap_near((low_hz + high_hz) / 2, 250, 1e-9, "placed arithmetically at 250 Hz");
    critical_band_ecma(4000, &low_hz, &high_hz);
    tap_near(sqrt(low_hz * high_hz), 4000, 1e-6, "placed geometrically at 4 kHz");
    tap_near(proximity_hz(150), 23, 0.05, "proximity at 150 Hz, Hz");
    tap_near(proximity_hz(850), 63.8, 0.05, "proximity at 850 Hz, Hz");
    tap_near(proximity_hz(212), 21, 1e-9, "least proximity, at 212 Hz");
}

/* Middle of the critical band whose upper (lower) edge is at `edge_hz`, by bisection of the definition. */
static double band_ending_at(double edge_hz, bool is_upper)
{
    double below = 1, above = 20000;
    for (int i = 0; i < 100; i++) {
        double middle = 0.5 * (below + above), low_hz, high_hz;
        critical_band_ecma(middle, &low_hz, &high_hz);
        if ((is_upper ? high_hz : low_hz) < edge_hz)
            below = middle;
        else
            above = middle;
    }
    return below;
}

/* The fitted outer edges are those of contiguous critical bands within 1 % of the tone's frequency (closed form). */
static void outer_edges(void)
{
    static const double hz[] = { 175, 250, 400, 630, 1000, 1599, 1601, 2500, 4000, 6300, 10000, 11220 };
    for (size_t i = 0; i < sizeof hz / sizeof hz[0]; i++) {
        double low_hz, high_hz, below_hz, above_hz, unused;
        critical_band_ecma(hz[i], &low_hz, &high_hz);
        critical_band_ecma(band_ending_at(low_hz, true), &below_hz, &unused);
        critical_band_ecma(band_ending_at(high_hz, false), &unused, &above_hz);
        tap_near(ecma_lower_edge_hz(hz[i]), below_hz, 0.0105 * hz[i], "lower band's edge for %g Hz, Hz", hz[i]);
        tap_near(ecma_upper_edge_hz(hz[i]), above_hz, 0.0105 * hz[i], "upper band's edge for %g Hz, Hz", hz[i]);
    }
    tap_near(ecma_lower_edge_hz(120), 20, 0, "below 171.4 Hz the lower band begins at 20 Hz");
    tap_near(ecma_lower_edge_hz(171.5), 20, 0.2, "and meets it there");
}

/* ECMA-418-1 clauses 11.6 and 12.7 (from memory). */
static void limits(void)
{
    static const struct {
        double hz, ratio_db, prominence_db;
    } rows[] = { { 89.1, 16.75, 19.50 }, { 100, 16.33, 19.00 }, { 200, 13.82, 15.99 },
                 { 500, 10.51, 12.01 },  { 1000, 8.00, 9.00 },  { 11220, 8.00, 9.00 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        tap_near(ecma_tone_to_noise_limit_db(rows[i].hz), rows[i].ratio_db, 0.006, "limit of TNR at %g Hz", rows[i].hz);
        tap_near(ecma_prominence_limit_db(rows[i].hz), rows[i].prominence_db, 0.006, "limit of PR at %g Hz",
                 rows[i].hz);
    }
    tap_ok(!is_given(ecma_tone_to_noise_limit_db(80)) && !is_given(ecma_prominence_limit_db(12000)),
           "no limits outside 89.1 Hz to 11.22 kHz");
}

/* A tone of known height in white noise: both ratios in closed form, 0.2 dB. */
static void tones_in_noise(void)
{
    static const struct {
        double hz, tone_db, density_db;
    } rows[] = { { 120, 70, 40 }, { 240, 66, 40 }, { 1000, 60, 30 }, { 1000, 50, 30 }, { 4000, 60, 25 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct signal signal = signal_new(48000, 40);
        struct err err;
        struct ecma_rating got;
        double hz = rows[i].hz, low_hz, high_hz;
        add_tone(&signal, hz, rows[i].tone_db);
        add_white_noise(&signal, rows[i].density_db, 100 + i);
        struct spectrum spectrum = spectrum_of(&signal, 32768);
        critical_band_ecma(hz, &low_hz, &high_hz);
        double density = db_to_power_ratio(rows[i].density_db), tone = db_to_power_ratio(rows[i].tone_db);
        double lower = density * (hz <= 171.4 ? 100 : low_hz - ecma_lower_edge_hz(hz));
        double upper = density * (ecma_upper_edge_hz(hz) - high_hz), middle = tone + density * (high_hz - low_hz);
        tap_ok(ecma_rate(&spectrum, &hz, 1, true, &got, &err), "rated");
        tap_near(got.tone_to_noise_db,
                 rows[i].tone_db - rows[i].density_db - power_ratio_to_db(critical_bandwidth_hz(hz)), 0.2,
                 "TNR of %g Hz %g dB in %g dB/Hz", hz, rows[i].tone_db, rows[i].density_db);
        tap_near(got.prominence_db, power_ratio_to_db(middle / (0.5 * (lower + upper))), 0.2, "its PR");
        free(spectrum.pa2);
        free(signal.pa);
    }
}

/* Tones that share a critical band, in noise without randomness: closed forms. */
static void tones_together(void)
{
    struct err err;
    struct ecma_rating got[2];
    double width_db = power_ratio_to_db(critical_bandwidth_hz(2000));
    struct spectrum spectrum = flat_spectrum(1, 20001, 20);
    add_line(&spectrum, 2000, 60);
    add_line(&spectrum, 2050, 54);
    double pair[2] = { 2000, 2050 };
    tap_ok(ecma_rate(&spectrum, pair, 2, true, got, &err), "two tones at 2 kHz");
    tap_near(got[0].tone_to_noise_db, 60 + power_ratio_to_db(1 + db_to_power_ratio(-6)) - 20 - width_db, 0.05,
             "above 1 kHz the stronger takes the weaker along");
    tap_near(got[1].tone_to_noise_db, 54 - 20 - power_ratio_to_db(critical_bandwidth_hz(2050)), 0.05,
             "the weaker is rated by its own power");
    free(spectrum.pa2);
    spectrum = flat_spectrum(1, 20001, 20);
    add_line(&spectrum, 400, 60);
    add_line(&spectrum, 440, 59); /* farther than 27.6 Hz */
    double apart[2] = { 400, 440 };
    tap_ok(ecma_rate(&spectrum, apart, 2, true, got, &err), "two tones at 400 Hz, 40 Hz apart");
    tap_near(got[0].tone_to_noise_db, 60 - 20 - power_ratio_to_db(critical_bandwidth_hz(400)), 0.05,
             "below 1 kHz distant tones are apart, and neither is noise to the other");
    free(spectrum.pa2);
    spectrum = flat_spectrum(1, 20001, 20);
    add_line(&spectrum, 400, 60);
    add_line(&spectrum, 420, 60);
    double close[2] = { 400, 420 };
    tap_ok(ecma_rate(&spectrum, close, 2, true, got, &err), "two tones 20 Hz apart");
    tap_near(got[0].tone_to_noise_db, 63.01 - 20 - power_ratio_to_db(critical_bandwidth_hz(400)), 0.05,
             "close ones are heard as one");
    free(spectrum.pa2);
}

/* Threshold of hearing: 3 dB is below it at 500 Hz (4.4 dB, ISO 226:2003 T_f, from memory), 6 dB above. */
static void threshold(void)
{
    struct err err;
    struct ecma_rating got;
    double hz = 500;
    for (int is_absolute = 0; is_absolute < 2; is_absolute++)
        for (double level_db = 3; level_db < 7; level_db += 3) {
            struct spectrum spectrum = flat_spectrum(1, 20001, -60);
            add_line(&spectrum, 500, level_db);
            tap_ok(ecma_rate(&spectrum, &hz, 1, is_absolute, &got, &err) &&
                       got.is_prominent_by_ratio == (!is_absolute || level_db > 4.4),
                   "a tone of %g dB at 500 Hz, %s levels", level_db, is_absolute ? "absolute" : "relative");
            free(spectrum.pa2);
        }
}

int main(void)
{
    critical_bands();
    outer_edges();
    limits();
    tones_in_noise();
    tones_together();
    threshold();
    return tap_done();
}
