/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/annoyance.h"
#include "hearing/aures.h"
#include "hearing/hearing.h"
#include "spectra.h"

/* A run with a blade tone, its second harmonic and a belt mesh tone of chosen heights, in noise without randomness that
 * falls 3 dB an octave above 500 Hz. Lines of 1 Hz. */
struct made_run {
    struct spectrum spectrum;
    struct tone tones[3];
    struct rotor_figures rotor;
};

static void make_run(struct made_run *run, double blade_db, double second_db, double belt_db)
{
    static const char *const source[] = { "blade 1", "blade 2", "belt mesh 1" };
    static const size_t hz[] = { 140, 280, 840 };
    double level_db[] = { blade_db, second_db, belt_db };
    run->spectrum = flat_spectrum(1, 20001, 35);
    for (size_t k = 500; k < run->spectrum.count; k++)
        run->spectrum.pa2[k] *= 500 / (double)k;
    memset(run->tones, 0, sizeof run->tones);
    run->rotor = (struct rotor_figures){ .tones = run->tones, .tone_count = 3 };
    for (size_t i = 0; i < 3; i++) {
        if (is_given(level_db[i]))
            add_line(&run->spectrum, hz[i], level_db[i]);
        run->tones[i].hz = (double)hz[i];
        run->tones[i].tone_to_noise_db = run->tones[i].prominence_db = run->tones[i].audibility_db = ABSENT;
        snprintf(run->tones[i].source, sizeof run->tones[i].source, "%s", source[i]);
    }
}

static struct tonality rate(struct made_run *run, bool is_absolute)
{
    struct tonality tonality = { 0 };
    struct err err;
    tap_ok(tonality_rate(&run->spectrum, is_absolute, &run->rotor, &tonality, &err), "rated");
    return tonality;
}

/* Limits by ECMA-418-1 (from memory): TNR 15.1 dB at 140 Hz, 8.6 dB at 840 Hz. */
static void verdicts(void)
{
    struct made_run run;
    make_run(&run, 66, 55, 68);
    struct tonality got = rate(&run, true);
    tap_ok(got.is_prominent && run.tones[2].is_prominent && !run.tones[0].is_prominent && !run.tones[1].is_prominent,
           "the belt tone is prominent, the blade tones are not");
    tap_text(got.prominent_source, "belt mesh 1", "its source");
    tap_near(got.prominent_hz, 840, 0, "its frequency, Hz");
    tap_text(got.decisive_source, "belt mesh 1", "it is decisive as well");
    tap_ok(strstr(got.criterion, "ECMA-418-1") != NULL, "criterion: %s", got.criterion);
    tap_ok(got.adjustment_db == 6 && got.audibility_db > 12, "audibility %.1f dB, K_T %d dB", got.audibility_db,
           got.adjustment_db);
    struct tonality relative = rate(&run, false);
    tap_ok(relative.is_prominent && relative.audibility_db == got.audibility_db && !is_given(relative.aures_tu),
           "ratios stay without an absolute gain, the tonality in t.u. does not");
    free(run.spectrum.pa2);
    make_run(&run, 72, 55, 50);
    got = rate(&run, true);
    tap_text(got.decisive_source, "blade 1", "with a strong blade tone that one decides");
    free(run.spectrum.pa2);
}

static void no_tones(void)
{
    struct made_run run;
    make_run(&run, ABSENT, ABSENT, ABSENT);
    struct tonality got = rate(&run, true);
    tap_ok(!got.is_prominent && got.criterion[0] == '\0' && !is_given(got.decisive_hz) && got.adjustment_db == 0,
           "candidates without height: nothing prominent, nothing decisive, K_T 0");
    run.rotor.tone_count = 0;
    got = rate(&run, true);
    tap_ok(!got.is_prominent && !is_given(got.audibility_db) && got.adjustment_db == 0, "no tones at all: K_T 0");
    tap_near(got.aures_tu, 0, 0, "tonality, t.u.");
    run.spectrum.step_hz = 6;
    got = rate(&run, true);
    tap_ok(got.adjustment_db == -1, "lines too coarse: K_T can't be given");
    free(run.spectrum.pa2);
    struct spectrum none = { 0 };
    struct err err;
    tap_ok(tonality_rate(&none, true, &run.rotor, &got, &err) && got.adjustment_db == -1, "no spectrum");
}

/* Tones that nobody hears do not decide: one at 14 kHz, and at 840 Hz, where the threshold is 2.2 dB, one of
 * 1 dB, while one of 4 dB does (ISO 226:2003 T_f, from memory). */
static void unheard(void)
{
    for (double level_db = 4; level_db > 0; level_db -= 3) {
        struct made_run run;
        make_run(&run, ABSENT, ABSENT, ABSENT);
        for (size_t k = 0; k < run.spectrum.count; k++)
            run.spectrum.pa2[k] *= db_to_power_ratio(-90);
        add_line(&run.spectrum, 840, level_db);
        add_line(&run.spectrum, 14000, 70);
        run.tones[0].hz = 840;
        run.tones[1].hz = 14000;
        run.rotor.tone_count = 2;
        struct tonality got = rate(&run, true);
        tap_ok(level_db > 2.3 ? got.decisive_hz == 840 : !is_given(got.decisive_hz), "840 Hz at %g dB %s", level_db,
               level_db > 2.3 ? "decides" : "is not heard");
        got = rate(&run, false);
        tap_near(got.decisive_hz, 840, 0, "with relative levels it decides, Hz");
        free(run.spectrum.pa2);
    }
}

/* Definition of the tonality unit: 1 kHz, 60 dB is 1 (Aures 1985, from memory); 5 %, the bound of the loudness in it.
 */
static void tonality_unit(void)
{
    struct err err;
    double hz = 1000, tu = ABSENT, noisy_tu = ABSENT;
    struct spectrum spectrum = flat_spectrum(1, 20001, -60);
    add_line(&spectrum, 1000, 60);
    tap_ok(aures_tonality(&spectrum, &hz, 1, &tu, &err), "a tone");
    tap_near(tu, 1, 0.05, "1 kHz, 60 dB, t.u.");
    free(spectrum.pa2);
    spectrum = flat_spectrum(1, 20001, 35);
    add_line(&spectrum, 1000, 60);
    tap_ok(aures_tonality(&spectrum, &hz, 1, &noisy_tu, &err), "in noise");
    tap_ok(noisy_tu > 0 && noisy_tu < tu, "the same in noise has less: %.3f t.u.", noisy_tu);
    free(spectrum.pa2);
}

/* Arithmetic of Fastl and Zwicker, equations 16.2 to 16.4, and of Di et al. with w_T alone (from memory). */
static void annoyance(void)
{
    static const struct {
        double n5_sone, acum, asper, vacil, want;
    } rows[] = { { 10, 1.5, 0.2, 0.1, 11.389 },
                 { 10, 2.5, 0.2, 0.1, 12.807 },
                 { 20, 2.5, 0.5, 0.5, 28.599 },
                 { 30, 2.0, 0.3, 0.5, 37.048 } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        tap_near(annoyance_zwicker(rows[i].n5_sone, rows[i].acum, rows[i].asper, rows[i].vacil), rows[i].want, 0.0006,
                 "annoyance of %g sone, %g acum, %g asper, %g vacil", rows[i].n5_sone, rows[i].acum, rows[i].asper,
                 rows[i].vacil);
    tap_near(annoyance_with_tonality(10, 1.5, 0, 0, 0.2), 10 + 10 * 6.41 * 0.2 / pow(10, 0.52), 1e-9,
             "with tonality alone");
    tap_near(annoyance_zwicker(0, ABSENT, 0, 0), 0, 0, "silence annoys nobody");
    tap_ok(!is_given(annoyance_zwicker(10, ABSENT, 0.1, 0.1)) && !is_given(annoyance_zwicker(10, 1, ABSENT, 0.1)),
           "absent when a part is");
    struct figures figures;
    figures_init(&figures);
    struct tonality tonality = { .aures_tu = 0.2 };
    annoyance_fill(&figures.hearing, &tonality);
    tap_ok(!is_given(figures.hearing.annoyance) && !is_given(figures.hearing.annoyance_tonal),
           "absent without loudness");
    figures.hearing.loudness_n5_sone = 10;
    figures.hearing.sharpness_acum = 1.5;
    figures.hearing.roughness_asper = 0.2;
    figures.hearing.fluctuation_vacil = 0.1;
    annoyance_fill(&figures.hearing, &tonality);
    tap_near(figures.hearing.annoyance, 11.389, 0.0006, "filled in");
    tap_ok(figures.hearing.annoyance_tonal > figures.hearing.annoyance, "tones add to it: %.2f against %.2f",
           figures.hearing.annoyance_tonal, figures.hearing.annoyance);
}

int main(void)
{
    verdicts();
    no_tones();
    unheard();
    tonality_unit();
    annoyance();
    return tap_done();
}
