/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_DEMO_TRUTH_RUN_H
#define THRUM_TESTS_DEMO_TRUTH_RUN_H

/* One run of the demo's results held to what was built into it (truth.json), with the tolerances of the demo's own
 * promise: levels 0.05 dB, frequencies and speeds 0.05 %. Included once by the test, after tap.h. */

#include "base/units.h"
#include "programs.h"
#include "tap.h"

#define LEVEL_TOLERANCE_DB 0.05
#define SPEED_TOLERANCE 0.0005
#define BANDWIDTH 0.2308 /* of a third octave, base ten, re its mid-frequency (IEC 61260-1:2014, 5.4 and 5.5) */
#define SETTLING 3.5     /* of the band filters, over the bandwidth (meters/band_meter.h) */

static const char *fault_of(const json_t *truth)
{
    return member_text(truth, "fault");
}

static bool has_fault(const json_t *truth, const char *fault)
{
    return strcmp(fault_of(truth), fault) == 0;
}

static bool starts_with(const char *text, const char *start)
{
    return strncmp(text, start, strlen(start)) == 0;
}

/* The item of `list` whose `key` is nearest to `value`; NULL for an empty list. */
static json_t *nearest_item(const json_t *list, const char *key, double value)
{
    json_t *nearest = NULL;
    for (size_t i = 0; i < json_array_size(list); i++) {
        json_t *item = json_array_get(list, i);
        double distance = fabs(member_number(item, key) - value);
        if (distance < (nearest ? fabs(member_number(nearest, key) - value) : (double)INFINITY))
            nearest = item;
    }
    return nearest;
}

static json_t *tone_of_source(const json_t *truth, const char *source)
{
    const json_t *tones = json_object_get(truth, "tones");
    for (size_t i = 0; i < json_array_size(tones); i++)
        if (strcmp(member_text(json_array_get(tones, i), "source"), source) == 0)
            return json_array_get(tones, i);
    return NULL;
}

static void check_verdict(const json_t *truth, const json_t *run, const char *file)
{
    const json_t *fitness = json_object_get(run, "fitness");
    const char *verdict = member_text(fitness, "verdict");
    if (has_fault(truth, "clipped")) {
        tap_ok(strcmp(verdict, "unusable") == 0, "%s: clipped, so it is unusable: \"%s\"", file, verdict);
        return;
    }
    if (!has_fault(truth, "none")) {
        tap_ok(verdict[0] && strcmp(verdict, "unusable") != 0, "%s: can be used: \"%s\"", file, verdict);
        return;
    }
    const json_t *first = json_array_get(json_object_get(fitness, "findings"), 0);
    tap_ok(strcmp(verdict, "good") == 0, "%s: nothing is wrong with it: \"%s\" %s", file, verdict,
           member_text(first, "text"));
}

static void check_levels(const json_t *truth, const json_t *run, const char *file)
{
    static const char *const keys[] = { "LAeq_db", "LCeq_db", "LZeq_db" };
    const json_t *want = json_object_get(truth, "levels"), *got = json_object_get(run, "levels");
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        tap_near(member_number(got, keys[i]), member_number(want, keys[i]), LEVEL_TOLERANCE_DB, "%s: %s", file,
                 keys[i]);
}

/* Power that the abrupt start of the tones leaves in a band: a tone d Hz away from a filter of B Hz rings in it once,
 * with 4 B / (pi^2 d^2 T) of its power over T seconds (the spectrum of a sine switched on, over the band). */
static double onset_pa2(const json_t *tones, double mid_hz, double duration_s)
{
    double width_hz = BANDWIDTH * mid_hz, sum_pa2 = 0;
    for (size_t i = 0; i < json_array_size(tones); i++) {
        double distance_hz = fabs(member_number(json_array_get(tones, i), "hz") - mid_hz);
        if (distance_hz > width_hz / 2)
            sum_pa2 += db_to_pa2(member_number(json_array_get(tones, i), "level_db")) * 4 * width_hz /
                       (PI * PI * distance_hz * distance_hz * duration_s);
    }
    return sum_pa2;
}

/* A class 1 filter may stand anywhere between the limits that its mask sets over the lines of the file (IEC 61260:1995,
 * table 1). A filter of B Hz that starts at rest is left out for its first 3.5/B of the T s of the file (band_meter.h),
 * and noise holds up to three times its mean there (exponential, 95 %): 10 lg(1 + 3 x 3.5/(B T)) more either way. Noise
 * in a part of the file has another level than in the whole, so parts are left to the levels above. */
static void check_bands(const json_t *truth, const json_t *run, const char *file)
{
    const json_t *want = json_object_get(truth, "third_octave"), *got = json_object_get(run, "third_octave");
    const json_t *part = json_object_get(truth, "levels_of_s");
    if (json_number_value(json_array_get(part, 0)) > 0)
        return;
    double worst_db = -INFINITY, worst_hz = NAN, duration_s = json_number_value(json_array_get(part, 1));
    size_t count = 0;
    for (size_t i = 0; i < json_array_size(got); i++) {
        const json_t *band = json_array_get(got, i);
        const json_t *limits = nearest_item(want, "exact_hz", member_number(band, "exact_hz"));
        double level_db = member_number(band, "level_db");
        double mid_hz = member_number(limits, "exact_hz");
        double high_db = pa2_to_db(db_to_pa2(member_number(limits, "class1_high_db")) +
                                   onset_pa2(json_object_get(truth, "tones"), mid_hz, duration_s));
        double settling_db = 10 * log10(1 + 3 * SETTLING / (BANDWIDTH * mid_hz * duration_s));
        double outside_db = fmax(level_db - high_db, member_number(limits, "class1_low_db") - level_db);
        outside_db -= settling_db;
        count += isfinite(level_db) && isfinite(outside_db);
        if (outside_db > worst_db) {
            worst_db = outside_db;
            worst_hz = member_number(band, "nominal_hz");
        }
    }
    tap_ok(count == json_array_size(got) && count >= 29 && worst_db <= LEVEL_TOLERANCE_DB,
           "%s: %zu third-octave bands within class 1, margin %.2f dB (%g Hz)", file, count, -worst_db, worst_hz);
}

/* Blade lines whose height is well above the noise must be found, where they are. */
static void check_blades(const json_t *truth, const json_t *run, const char *file)
{
    const char *want_verdict = has_fault(truth, "wrong log") ? "shifted" : "agrees";
    const json_t *passages = json_object_get(json_object_get(run, "rotor"), "blade_passage");
    for (int m = 1; m <= 3; m++) {
        char source[16];
        snprintf(source, sizeof source, "blade %d", m);
        const json_t *tone = tone_of_source(truth, source), *passage = nearest_item(passages, "harmonic", m);
        const char *verdict = member_text(passage, "verdict");
        double hz = member_number(tone, "hz"), level_db = member_number(tone, "level_db");
        if (m > 1 && (member_number(tone, "above_noise_db") < 3 || strcmp(verdict, "absent") == 0))
            continue;
        tap_ok(strcmp(verdict, want_verdict) == 0, "%s: %s: got \"%s\", goal \"%s\"", file, source, verdict,
               want_verdict);
        tap_near(member_number(passage, "measured_hz"), hz, hz * SPEED_TOLERANCE, "%s: %s, Hz", file, source);
        if (member_number(tone, "above_noise_db") > 15)
            tap_near(member_number(passage, "level_db"), level_db, 0.3, "%s: level of %s", file, source);
    }
    double rpm = member_number(truth, "true_rpm");
    tap_near(member_number(json_object_get(run, "rotor"), "rpm_measured"), rpm, rpm * SPEED_TOLERANCE, "%s: speed, rpm",
             file);
}

/* Tones that stand 15 dB above the noise in their critical band (100 Hz at least) are found and have the source that
 * made them. The noise within 1/T of such a line, T = 3 s, is 40 dB below it, which moves its level by 0.07 dB
 * (standard deviation, twice that under a Hann window at most): 0.3 dB. */
static void check_tones(const json_t *truth, const json_t *run, const char *file)
{
    const json_t *built = json_object_get(truth, "tones"), *found = json_object_get(run, "tones");
    for (size_t i = 0; i < json_array_size(built); i++) {
        const json_t *tone = json_array_get(built, i);
        double hz = member_number(tone, "hz");
        if (!(member_number(tone, "above_noise_db") > 15))
            continue;
        const json_t *match = nearest_item(found, "hz", hz);
        tap_near(member_number(match, "hz"), hz, hz * SPEED_TOLERANCE, "%s: tone of %s, Hz", file,
                 member_text(tone, "source"));
        tap_text(member_text(match, "source"), member_text(tone, "source"), file);
        tap_near(member_number(match, "level_db"), member_number(tone, "level_db"), 0.3, "%s: level of %s", file,
                 member_text(tone, "source"));
    }
}

/* Nothing was built in above the wake that no part makes. */
static void check_unexplained(const json_t *run, const char *file)
{
    const json_t *found = json_object_get(run, "tones");
    for (size_t i = 0; i < json_array_size(found); i++) {
        const json_t *tone = json_array_get(found, i);
        if (member_number(tone, "hz") > 20)
            tap_ok(strcmp(member_text(tone, "source"), "unexplained") != 0, "%s: %.2f Hz has a source: \"%s\"", file,
                   member_number(tone, "hz"), member_text(tone, "source"));
    }
}

/* No tone of the bystander's mains is taken for a blade. */
static void check_hum(const json_t *truth, const json_t *run, const char *file)
{
    const json_t *built = json_object_get(truth, "tones"), *found = json_object_get(run, "tones");
    const json_t *passages = json_object_get(json_object_get(run, "rotor"), "blade_passage");
    for (size_t i = 0; i < json_array_size(built); i++) {
        const json_t *tone = json_array_get(built, i);
        double hz = member_number(tone, "hz");
        if (!starts_with(member_text(tone, "source"), "mains"))
            continue;
        const json_t *match = nearest_item(found, "hz", hz), *passage = nearest_item(passages, "measured_hz", hz);
        if (fabs(member_number(match, "hz") - hz) < 1)
            tap_ok(starts_with(member_text(match, "source"), "mains"), "%s: %s is called \"%s\"", file,
                   member_text(tone, "source"), member_text(match, "source"));
        tap_ok(!(fabs(member_number(passage, "measured_hz") - hz) < 1), "%s: %s is no blade line", file,
               member_text(tone, "source"));
    }
}

/* The belt whines: its mesh is named, and prominent by ECMA-418-1 (8 dB from 1 kHz on). Its height by the law is that
 * over the density at the tone, the standard's that over its critical band: 1 dB apart at most, for the noise falls by
 * 2 dB across the band and its own power scatters by 0.3 dB (300 Hz, 3 s). */
static void check_belt(const json_t *truth, const json_t *run, const char *file)
{
    const json_t *mesh = tone_of_source(truth, "belt mesh 1");
    const json_t *match = nearest_item(json_object_get(run, "tones"), "hz", member_number(mesh, "hz"));
    if (!mesh)
        return;
    tap_text(member_text(match, "source"), "belt mesh 1", file);
    tap_near(member_number(match, "tone_to_noise_db"), member_number(mesh, "above_noise_db"), 1,
             "%s: tone-to-noise ratio of the belt", file);
    tap_ok(json_is_true(json_object_get(match, "prominent")), "%s: the belt's tone is prominent", file);
}

/* The two blades of stock2 are 5 % apart: odd shaft orders 32.3 dB below the blade orders, by the sum of two phasors.
 * Only what stands out of the noise can be measured, whence 3 dB, and where shaft order 1 stands out by 10 dB it must
 * be. The blades of the others are alike. */
static void check_unevenness(const json_t *truth, const json_t *run, const char *file)
{
    double unevenness_db = member_number(json_object_get(run, "rotor"), "unevenness_db");
    const json_t *shaft = tone_of_source(truth, "shaft 1");
    if (!shaft)
        tap_ok(!isfinite(unevenness_db), "%s: the blades are alike", file);
    else if (member_number(shaft, "above_noise_db") > 10 || isfinite(unevenness_db))
        tap_near(unevenness_db, -32.3, 3, "%s: unevenness of the blades, dB", file);
}

/* What was built in is said in words, in a sentence that names it. */
static void check_sentence(const json_t *run, const char *names, const char *file)
{
    const json_t *remarks = json_object_get(json_object_get(run, "rotor"), "remarks");
    const char *found = "";
    for (size_t i = 0; i < json_array_size(remarks) && !found[0]; i++) {
        const char *remark = json_string_value(json_array_get(remarks, i));
        found = remark && strstr(remark, names) ? remark : "";
    }
    tap_ok(found[0] != '\0', "%s: a sentence on \"%s\": \"%s\"", file, names, found);
}

static void check_sentences(const json_t *truth, const json_t *run, const char *file)
{
    if (member_number(tone_of_source(truth, "shaft 1"), "above_noise_db") > 10)
        check_sentence(run, "unequal", file);
    if (tone_of_source(truth, "belt mesh 1"))
        check_sentence(run, "belt mesh 1", file);
    if (has_fault(truth, "mains hum"))
        check_sentence(run, "mains", file);
}

static void check_run(const json_t *truth, const json_t *run)
{
    const char *file = member_text(truth, "file");
    tap_text(member_text(run, "file"), file, "the run in its place");
    check_verdict(truth, run, file);
    if (has_fault(truth, "clipped"))
        return;
    check_levels(truth, run, file);
    check_bands(truth, run, file);
    check_blades(truth, run, file);
    check_tones(truth, run, file);
    check_unexplained(run, file);
    check_hum(truth, run, file);
    check_belt(truth, run, file);
    check_unevenness(truth, run, file);
    check_sentences(truth, run, file);
}

#endif
