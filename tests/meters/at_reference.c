/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "rig.h"

#include "base/absent.h"
#include "base/units.h"
#include "meters/absorption.h"
#include "meters/at_reference.h"
#include "meters/band_meter.h"
#include "meters/ground.h"
#include "meters/level_meter.h"

static const struct air no_air = { NAN, NAN, NAN, NAN };

static void measure(struct figures *figures, double rms_pa, uint64_t seed, double tone_pa)
{
    struct signal signal = signal_new(48000, 1, 4);
    signal_add_noise(&signal, rms_pa, seed);
    signal_add_sine(&signal, 1000, tone_pa, 0);
    figures_init(figures);
    rig_run(&level_meter, &signal, 0, 0, figures);
    rig_run(&third_octave_meter, &signal, 0, 0, figures);
    signal_clear(&signal);
}

static struct at_reference compute(const struct figures *figures, const struct reference_conditions *conditions,
                                   struct findings *findings)
{
    struct at_reference out = { 0 };
    struct err err = { 0 };
    tap_ok(at_reference_compute(figures, conditions, &out, findings, &err), "computed");
    return out;
}

static void nothing_to_correct(const struct figures *figures)
{
    struct reference_conditions conditions = { ABSENT, 1, no_air, NULL };
    struct findings findings = { 0 };
    struct at_reference out = compute(figures, &conditions, &findings);
    tap_ok(out.laeq_db == figures->levels.laeq_db, "nothing to correct: LAeq to the last bit");
    tap_ok(!is_given(out.background_correction_db) && !is_given(out.distance_correction_db),
           "what is not known is absent");
    tap_ok(out.band_count == figures->third_octave.count &&
               out.bands[3].level_db == figures->third_octave.items[3].level_db,
           "bands stay too");
    tap_ok(!out.is_upper_bound && findings.count == 0, "no finding");
    at_reference_clear(&out);
    findings_clear(&findings);
}

/* 20 lg(2 m / 1 m) = 6.02 dB louder at 1 m. */
static void spreading(const struct figures *figures)
{
    struct reference_conditions conditions = { 2, 1, no_air, NULL };
    struct findings findings = { 0 };
    struct at_reference out = compute(figures, &conditions, &findings);
    tap_near(out.laeq_db - figures->levels.laeq_db, 6.0206, 1e-4, "from 2 m to 1 m");
    tap_near(out.distance_correction_db, 6.0206, 1e-4, "and told");
    tap_near(out.bands[17].level_db - figures->third_octave.items[17].level_db, 6.0206, 1e-4, "in each band");
    at_reference_clear(&out);
}

/* ISO 9613-2:1996, table 2: 10 deg C, 70 %: 117 dB/km at 8 kHz nominal, so 5.7 dB over 49 m; 0.1 dB/km at 63 Hz is
 * below 0.05 dB there and left out. */
static void absorption(const struct figures *figures)
{
    struct reference_conditions conditions = { 50, 1, { 10, 70, 101.325, 0 }, NULL };
    struct findings findings = { 0 };
    struct at_reference out = compute(figures, &conditions, &findings);
    double spreading_db = 33.9794;
    tap_near(out.bands[26].level_db - figures->third_octave.items[26].level_db - spreading_db, 0.049 * 117, 0.049 * 0.6,
             "8 kHz band from 50 m to 1 m");
    tap_near(out.bands[5].level_db - figures->third_octave.items[5].level_db, spreading_db, 1e-4, "63 Hz: nothing");
    double most_db = 49 * absorption_db_m(&conditions.air, 16000);
    tap_ok(out.absorption_correction_db > 0.05 && out.absorption_correction_db < most_db,
           "A-level between the lowest and the highest band: %.2f dB", out.absorption_correction_db);
    tap_near(out.laeq_db, figures->levels.laeq_db + spreading_db + out.absorption_correction_db, 1e-4,
             "the parts add up");
    at_reference_clear(&out);
    struct air dry = { 10, NAN, NAN, NAN };
    tap_ok(!is_given(absorption_db_m(&dry, 1000)), "without humidity there is no coefficient");
}

/* Background 10 dB below: K1 = 0.458 dB in every band and in the A-level. */
static void background_below(const struct figures *figures, double below_db, double want_k1_db, double tolerance_db,
                             bool want_bound)
{
    struct figures background;
    measure(&background, db_to_amplitude_ratio(-below_db), 1, 0);
    struct reference_conditions conditions = { 1, 1, no_air, &background };
    struct findings findings = { 0 };
    struct at_reference out = compute(figures, &conditions, &findings);
    tap_near(out.background_correction_db, -want_k1_db, tolerance_db, "background %.0f dB below: correction of LAeq",
             below_db);
    tap_near(out.bands[17].level_db - figures->third_octave.items[17].level_db, -want_k1_db, tolerance_db,
             "of the 1 kHz band");
    tap_near(out.laeq_db, figures->levels.laeq_db - want_k1_db, tolerance_db, "LAeq");
    tap_ok(out.is_upper_bound == want_bound && out.bands[17].is_upper_bound == want_bound, "upper bound: %s",
           want_bound ? "yes" : "no");
    tap_ok(findings_have(&findings, "low-snr") == want_bound, "finding low-snr: %s", want_bound ? "yes" : "no");
    at_reference_clear(&out);
    findings_clear(&findings);
    figures_clear(&background);
}

/* A tone that carries the A-level in one band: the other bands drown, the A-level does not. */
static void tone_over_noise(void)
{
    struct figures with, background;
    measure(&with, 0.01, 1, 1);
    measure(&background, 0.01, 1, 0);
    struct reference_conditions conditions = { 1, 1, no_air, &background };
    struct findings findings = { 0 };
    struct at_reference out = compute(&with, &conditions, &findings);
    tap_ok(out.bands[5].is_upper_bound && !out.bands[17].is_upper_bound && !out.is_upper_bound,
           "bands of the background alone are upper bounds, the A-level of the tone is none");
    tap_near(out.background_correction_db, 0, 0.05, "and is hardly corrected");
    size_t count = 0;
    for (size_t i = 0; i < findings.count; i++)
        count += strcmp(findings.items[i].code, "low-snr") == 0 && findings.items[i].severity == SEVERITY_NOTE;
    tap_ok(count == 2, "neighbouring bands share a finding: one below the tone, one above (%zu), notes beside the tone",
           count);
    at_reference_clear(&out);
    findings_clear(&findings);
    figures_clear(&with);
    figures_clear(&background);
}

/* Image source over a hard plane: 1.2 m above ground, 2 m apart, c = 343.2 m/s; computed by plane geometry. */
static void ground(void)
{
    double path_m = ground_path_difference_m(2, 1.2, 1.2), dips_hz[3];
    tap_near(path_m, 1.12410, 1e-5, "path difference at 2 m, both 1.2 m high");
    size_t count = ground_dips_hz(path_m, 343.2, 20000, dips_hz, 3);
    tap_ok(count == 3, "three dips");
    tap_near(dips_hz[0], 152.7, 0.06, "first dip (2k - 1) c / 2D");
    tap_near(dips_hz[2], 763.3, 0.06, "third");
    tap_near(ground_path_difference_m(5.0636, 2, 1.2), 0.87273, 1e-4, "unequal heights, 5 m across");
    tap_ok(!is_given(ground_path_difference_m(0.5, 2, 1)) && !is_given(ground_path_difference_m(2, NAN, 1)),
           "heights further apart than the distance, or not given: absent");
    tap_ok(ground_dips_hz(NAN, 343, 20000, dips_hz, 3) == 0, "and no dips");
}

/* The first dips are told in the finding: 153, 458, 763 Hz at 20 deg C for 2 m between heights of 1.2 m. */
static void ground_is_told(void)
{
    struct place_of_microphone microphone = { 2, 1.2, 1.2, ABSENT, ABSENT, 20 };
    struct findings findings = { 0 };
    ground_find(&microphone, &findings);
    tap_ok(findings.count == 1 && findings_have(&findings, "ground-reflection") &&
               findings.items[0].severity == SEVERITY_NOTE && strstr(findings.items[0].text, "153, 458 and 763 Hz"),
           "ground-reflection: %s", findings.count > 0 ? findings.items[0].text : "(none)");
    findings_clear(&findings);
}

static void place(double distance_m, double diameter_m, double blade_hz, bool want, enum severity want_severity)
{
    struct place_of_microphone microphone = { .distance_m = distance_m,
                                              .height_m = ABSENT,
                                              .source_height_m = ABSENT,
                                              .diameter_m = diameter_m,
                                              .blade_hz = blade_hz,
                                              .temperature_c = 20 };
    struct findings findings = { 0 };
    ground_find(&microphone, &findings);
    tap_ok(findings_have(&findings, "near-field") == want && (!want || findings.items[0].severity == want_severity),
           "%.2f m from a rotor of %.2f m, blade tone %.0f Hz: near field %s", distance_m, diameter_m, blade_hz,
           want ? "yes" : "no");
    tap_ok(!findings_have(&findings, "ground-reflection"), "no heights: nothing of the ground");
    findings_clear(&findings);
}

int main(void)
{
    struct figures figures;
    measure(&figures, 1, 1, 0);
    nothing_to_correct(&figures);
    spreading(&figures);
    absorption(&figures);
    background_below(&figures, 20, 0, 1e-9, false);
    background_below(&figures, 10, 0.458, 0.001, false);
    background_below(&figures, 5, 1.3, 1e-9, true);
    tone_over_noise();
    ground();
    ground_is_told();
    place(1, 0.24, 400, false, SEVERITY_NOTE);
    place(0.9, 0.24, 400, true, SEVERITY_DOUBTFUL); /* 3.75 diameters */
    /* Wavelength 3.432 m; a dipole's near field adds 10 lg(1 + 1/(kr)^2): 0.25 dB at 2.2 m, 0.61 at 1.4, 1.13 at 1. */
    place(2.2, 0.24, 100, false, SEVERITY_NOTE);
    place(1.4, 0.24, 100, true, SEVERITY_NOTE);
    place(1, 0.24, 100, true, SEVERITY_DOUBTFUL);
    place(2, ABSENT, ABSENT, false, SEVERITY_NOTE);
    figures_clear(&figures);
    return tap_done();
}
