/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_DEMO_TRUTH_RUN_H
#define THRUM_TESTS_DEMO_TRUTH_RUN_H

/* One run of the demo's results held to what was built into it (truth.json; `about` is the whole of it), with the
 * tolerances of the demo's own promise: levels 0.05 dB, frequencies and speeds 0.05 %. Included once by the test. */

#include "base/units.h"
#include "programs.h"
#include "tap.h"

#define LEVEL_TOLERANCE_DB 0.05
#define SPEED_TOLERANCE 0.0005
#define BANDWIDTH 0.2308 /* of a third octave, base ten, re its mid-frequency (IEC 61260-1:2014, 5.4 and 5.5) */
#define FADE_S 0.25      /* before the band filters (meters/band_meter.h) */
#define SETTLING 2.5     /* of the band filters after it, over the bandwidth */
#define PREROLL_S 1      /* what is fed before the used part, as far as the file has it (measure/meter_run.c) */

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

static double item_number(const json_t *list, size_t index)
{
    return json_is_number(json_array_get(list, index)) ? json_number_value(json_array_get(list, index)) : (double)NAN;
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

/* The part that was used: what the log marks, or the steady part, which begins where the fade ends (found by tenths of
 * a second) and goes on to the end. */
static void check_part(const json_t *truth, const json_t *about, const json_t *run, const char *file)
{
    double start_s = item_number(json_object_get(run, "used_s"), 0),
           end_s = item_number(json_object_get(run, "used_s"), 1);
    const json_t *marked_s = json_object_get(about, "marked_s");
    double first_s =
        json_is_true(json_object_get(truth, "is_marked")) ? item_number(marked_s, 0) : member_number(about, "fade_s");
    tap_near(start_s, first_s, 0.001, "%s: start of the used part, s", file);
    tap_near(end_s, item_number(marked_s, 1), 0.001, "%s: end of the used part, s", file);
}

/* How far a level over [start_s, end_s] may be off the level over one period: the sound repeats, so that only what is
 * more or less than a whole number of periods counts, and there noise scatters by the bandwidth that truth.json tells
 * (demo-truth.h). Three standard errors. */
static double scatter_db(const json_t *level, double start_s, double end_s, double period_s)
{
    double counted_s = end_s - start_s, odd_s = fabs(counted_s - period_s * rint(counted_s / period_s));
    return 3 * 10 / log(10) * sqrt(odd_s / member_number(level, "noise_bandwidth_hz")) / counted_s;
}

static void check_levels(const json_t *truth, const json_t *about, const json_t *run, const char *file)
{
    static const char *const keys[] = { "LAeq_db", "LCeq_db", "LZeq_db" };
    const json_t *want = json_object_get(truth, "levels"), *got = json_object_get(run, "levels");
    const json_t *used_s = json_object_get(run, "used_s");
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        const json_t *level = json_object_get(want, keys[i]);
        double scatter =
            scatter_db(level, item_number(used_s, 0), item_number(used_s, 1), member_number(about, "period_s"));
        tap_near(member_number(got, keys[i]), member_number(level, "level_db"), LEVEL_TOLERANCE_DB + scatter, "%s: %s",
                 file, keys[i]);
    }
}

/* Every band that fits the rate is there, and reads what the filter that thrum says it has lets through (filtered_db),
 * which must lie within what a class 1 filter may show of the same lines (IEC 61260:1995, table 1). A filter of B Hz
 * counts from 0.25 s and 2.5/B after the first frame that it is fed, at most a second before the used part
 * (band_meter.h, meter_run.h). */
static void check_bands(const json_t *want, const json_t *about, const json_t *got, const char *key, double start_s,
                        double end_s, const char *file)
{
    double worst_db = -INFINITY, worst_hz = NAN, widest_db = 0;
    size_t count = 0;
    for (size_t i = 0; i < json_array_size(got); i++) {
        const json_t *band = json_array_get(got, i);
        const json_t *truth = nearest_item(want, "exact_hz", member_number(band, "exact_hz"));
        double settled_s =
            fmax(start_s - PREROLL_S, 0) + FADE_S + SETTLING / (BANDWIDTH * member_number(truth, "exact_hz"));
        double scatter = scatter_db(truth, fmax(start_s, settled_s), end_s, member_number(about, "period_s"));
        double level_db = member_number(band, key), filtered_db = member_number(truth, "filtered_db");
        double off_db = fmax(fabs(level_db - filtered_db), fmax(level_db - member_number(truth, "class1_high_db"),
                                                                member_number(truth, "class1_low_db") - level_db));
        count += isfinite(level_db - filtered_db) && isfinite(off_db - scatter);
        widest_db = fmax(widest_db, scatter);
        if (off_db - scatter > worst_db) {
            worst_db = off_db - scatter;
            worst_hz = member_number(truth, "exact_hz");
        }
    }
    tap_ok(
        count == json_array_size(want) && count == json_array_size(got) && worst_db <= LEVEL_TOLERANCE_DB,
        "%s: %zu third octaves, %.3f dB off at most beyond their scatter (%.0f Hz; scatter up to %.2f dB), goal %.2f",
        file, count, worst_db, worst_hz, widest_db, LEVEL_TOLERANCE_DB);
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
 * made them. The noise within 1/T of such a line, T = 4 s, is 41 dB below it, which moves its level by 0.08 dB
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
 * 2 dB across the band and its own power scatters by 0.1 dB (300 Hz, 4 s). */
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

static void check_run(const json_t *truth, const json_t *about, const json_t *run)
{
    const char *file = member_text(truth, "file");
    tap_text(member_text(run, "file"), file, "the run in its place");
    check_verdict(truth, run, file);
    if (has_fault(truth, "clipped"))
        return;
    const json_t *used_s = json_object_get(run, "used_s");
    check_part(truth, about, run, file);
    check_levels(truth, about, run, file);
    check_bands(json_object_get(truth, "third_octave"), about, json_object_get(run, "third_octave"), "level_db",
                item_number(used_s, 0), item_number(used_s, 1), file);
    check_blades(truth, run, file);
    check_tones(truth, run, file);
    check_unexplained(run, file);
    check_hum(truth, run, file);
    check_belt(truth, run, file);
    check_unevenness(truth, run, file);
    check_sentences(truth, run, file);
}

#endif
