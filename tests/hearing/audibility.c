/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/audibility.h"
#include "hearing/critical_band.h"
#include "hearing/line_spacing.h"
#include "noise_in_band.h"
#include "spectra.h"

/* ISO/PAS 20065: masking index a_v = -2 - lg(1 + (f/502)^2.5); its limits (from memory). */
static void masking_index(void)
{
    static const struct {
        double hz, db;
    } rows[] = { { 50, -2.001 },  { 100, -2.008 },  { 200, -2.041 },  { 500, -2.299 },
                 { 502, -2.301 }, { 1000, -2.820 }, { 5000, -4.497 }, { 20000, -6.001 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        tap_near(masking_index_db(rows[i].hz), rows[i].db, 0.0006, "masking index at %g Hz, dB", rows[i].hz);
}

/* ISO 1996-2:2017 table J.1, DIN 45681 (from memory). */
static void adjustment(void)
{
    static const struct {
        double above_db;
        int until_db, from_db; /* K_T up to this audibility and just above it */
    } rows[] = { { 0, 0, 1 }, { 2, 1, 2 }, { 4, 2, 3 }, { 6, 3, 4 }, { 9, 4, 5 }, { 12, 5, 6 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        tap_ok(tonal_adjustment_db(rows[i].above_db) == rows[i].until_db &&
                   tonal_adjustment_db(nextafter(rows[i].above_db, 99)) == rows[i].from_db,
               "K_T steps from %d to %d dB above %g dB", rows[i].until_db, rows[i].from_db, rows[i].above_db);
    tap_ok(tonal_adjustment_db(-10) == 0 && tonal_adjustment_db(40) == 6 && tonal_adjustment_db(ABSENT) == -1,
           "K_T below, beyond, and of nothing");
}

/* A tone on a line in noise without randomness, 0.3 dB on each side of every step: audibility in closed form, and K_T.
 * The lines of the tone hold its power and three lines of noise. */
static void both_sides_of_each_step(void)
{
    static const double step_db[] = { 0, 2, 4, 6, 9, 12 };
    for (size_t i = 0; i < sizeof step_db / sizeof step_db[0]; i++)
        for (int side = -1; side <= 1; side += 2) {
            struct err err;
            struct audibility_rating got;
            double want_db = step_db[i] + 0.3 * side, density_db = 30, hz = 400 * 2.5;
            struct spectrum spectrum = flat_spectrum(2.5, 8001, density_db);
            double sum_db = want_db + masking_index_db(hz) + density_db + power_ratio_to_db(critical_bandwidth_hz(hz));
            double noise_db = density_db + power_ratio_to_db(3 * 2.5); /* of three lines, over 1.5 lines bandwidth */
            add_line(&spectrum, 400, power_ratio_to_db(db_to_power_ratio(sum_db) - db_to_power_ratio(noise_db)));
            tap_ok(audibility_rate(&spectrum, &hz, 1, &got, &err), "rated");
            tap_near(got.audibility_db, want_db, 0.1, "audibility, dB");
            tap_ok(tonal_adjustment_db(got.audibility_db) == (int)i + (side > 0), "its K_T is %d dB",
                   tonal_adjustment_db(got.audibility_db));
            free(spectrum.pa2);
        }
}

/* Tones in white noise by the definition, through the transform. The lines of a tone more than 10 dB below its largest
 * are not counted, which costs up to 0.25 dB between lines; 3 Hz lines of 40 s scatter by 3 dB / sqrt(110) each and a
 * critical band has 34 and more of them: another 0.1 dB. Fine lines are brought to the method's spacing. */
static void tones_in_noise(void)
{
    static const struct {
        double hz, tone_db;
        size_t points;
    } rows[] = { { 150, 65, 16384 },  { 480, 65, 16384 },  { 1000, 65, 16384 },
                 { 3000, 65, 16384 }, { 1000, 65, 65536 }, { 150, 65, 32768 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct err err;
        struct audibility_rating got;
        struct signal signal = signal_new(48000, 40);
        double hz = rows[i].hz, density_db = 40;
        add_tone(&signal, hz, rows[i].tone_db);
        add_white_noise(&signal, density_db, 7 + i);
        struct spectrum spectrum = spectrum_of(&signal, rows[i].points);
        tap_ok(audibility_rate(&spectrum, &hz, 1, &got, &err), "rated");
        tap_near(got.audibility_db,
                 rows[i].tone_db + power_ratio_to_db(a_weighting(hz)) - noise_in_band_db(hz, density_db) -
                     masking_index_db(hz),
                 0.35, "audibility of %g Hz in white noise, lines of %.2f Hz", hz, spectrum.step_hz);
        tap_within(got.uncertainty_db, 0, 0, 6, "extended uncertainty, dB");
        tap_ok(got.is_distinct, "distinct");
        free(spectrum.pa2);
        free(signal.pa);
    }
}

/* ISO/PAS 20065 has the energy mean of the audibilities of spectra of 3 s, those without the tone counted as -10 dB
 * (from memory). In steady noise one spectrum of the whole comes to the same: a tone that sounds in every other 3 s.
 * Bound as above. */
static void now_and_then(void)
{
    struct err err;
    struct audibility_rating steady, gated;
    double hz = 480;
    struct signal signal = signal_new(48000, 42), noise = signal_new(48000, 42);
    add_white_noise(&noise, 40, 5);
    add_tone(&signal, hz, 70);
    for (size_t i = 0; i < signal.count; i++)
        noise.pa[i] += signal.pa[i];
    struct spectrum spectrum = spectrum_of(&noise, 16384);
    tap_ok(audibility_rate(&spectrum, &hz, 1, &steady, &err), "a steady tone");
    free(spectrum.pa2);
    for (size_t i = 0; i < signal.count; i++)
        if (i / 144000 % 2 == 1)
            noise.pa[i] -= signal.pa[i];
    spectrum = spectrum_of(&noise, 16384);
    tap_ok(audibility_rate(&spectrum, &hz, 1, &gated, &err), "the same in every other 3 s");
    double mean = (db_to_power_ratio(steady.audibility_db) + db_to_power_ratio(-10)) / 2;
    tap_near(gated.audibility_db, power_ratio_to_db(mean), 0.35,
             "one spectrum of the whole against the mean over spectra of 3 s, dB");
    free(spectrum.pa2);
    free(signal.pa);
    free(noise.pa);
}

/* Widening keeps the powers of tone and noise. */
static void widening(void)
{
    struct err err;
    struct spectrum fine = flat_spectrum(0.5, 40001, 20), wide;
    add_line(&fine, 2003, 60);
    tap_ok(spectrum_widen(&fine, 6, &wide, &err), "six lines to one");
    tap_near(wide.step_hz, 3, 0, "its spacing");
    tap_near(wide.enbw_lines, 1.5, 0.002, "its lines are a Hann window's");
    double tone_pa2 = 0;
    for (size_t k = 320; k < 350; k++)
        tone_pa2 += (wide.pa2[k] - wide.pa2[1000]) / wide.enbw_lines;
    tap_near(pa2_to_db(tone_pa2), 60, 0.02, "the tone's level, dB");
    tap_near(pa2_to_db(wide.pa2[1000] / (wide.enbw_lines * wide.step_hz)), 20, 0.02, "the noise's density, dB/Hz");
    free(wide.pa2);
    free(fine.pa2);
}

static void what_cannot_be_rated(void)
{
    struct err err;
    struct audibility_rating got;
    double hz = 1000, low_hz = 45;
    struct spectrum coarse = flat_spectrum(5, 4001, 20);
    tap_ok(audibility_rate(&coarse, &hz, 1, &got, &err) && !is_given(got.audibility_db),
           "lines of 5 Hz are too coarse");
    free(coarse.pa2);
    struct spectrum spectrum = flat_spectrum(2.5, 8001, 20);
    tap_ok(audibility_rate(&spectrum, &low_hz, 1, &got, &err) && !is_given(got.audibility_db), "nothing below 50 Hz");
    tap_ok(audibility_rate(&spectrum, &hz, 1, &got, &err) && !got.is_distinct && got.audibility_db < 0,
           "plain noise is no distinct tone");
    free(spectrum.pa2);
}

/* Two equal tones that are heard together: 3 dB more than one alone; far apart below 1 kHz: not. */
static void together(void)
{
    struct err err;
    struct audibility_rating one, two[2];
    double pair[2] = { 600, 615 };
    struct spectrum spectrum = flat_spectrum(2.5, 8001, 30);
    add_line(&spectrum, 240, 60);
    tap_ok(audibility_rate(&spectrum, pair, 1, &one, &err), "one tone");
    add_line(&spectrum, 246, 60);
    tap_ok(audibility_rate(&spectrum, pair, 2, two, &err), "two tones 15 Hz apart");
    tap_near(fmax(two[0].audibility_db, two[1].audibility_db), one.audibility_db + power_ratio_to_db(2), 0.3,
             "together 3 dB more audible");
    free(spectrum.pa2);
    spectrum = flat_spectrum(2.5, 8001, 30);
    double apart[2] = { 600, 650 }; /* farther than 40.6 Hz */
    add_line(&spectrum, 240, 60);
    add_line(&spectrum, 260, 60);
    tap_ok(audibility_rate(&spectrum, apart, 2, two, &err), "two tones 50 Hz apart");
    tap_near(fmax(two[0].audibility_db, two[1].audibility_db), one.audibility_db, 0.3, "each for itself");
    free(spectrum.pa2);
}

int main(void)
{
    masking_index();
    adjustment();
    both_sides_of_each_step();
    tones_in_noise();
    now_and_then();
    widening();
    what_cannot_be_rated();
    together();
    return tap_done();
}
