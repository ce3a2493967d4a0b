/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "rotor/drive.h"
#include "rotor/passage.h"
#include "rotor/tidy.h"
#include "rotor/tone.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* What is told of what was found: rows of blade lines, tones worth telling, lines worth printing. The rules are those
 * of passage.h, tidy.h and drive.h (common practice); each case is made up. */

static struct tone named(double hz, const char *source)
{
    struct tone tone = tone_nothing();
    tone.hz = tone.expected_hz = hz;
    tone.level_db = 50;
    tone.above_noise_db = 10;
    tone.line_ratio_db = 25;
    tone.uncertainty_hz = 0.01;
    snprintf(tone.source, sizeof tone.source, "%s", source);
    return tone;
}

/* Shaft 10 Hz, 5 blades: blade 3 is the last of them, blade 12 (600 Hz) is a belt's, blade 7 nobody's. */
static void blade_rows(void)
{
    struct tone tones[] = { named(50, "blade 1"), named(100, "blade 2"), named(150, "blade 3"),
                            named(350, "unexplained"), named(600, "belt mesh 1") };
    struct passage_question question = { .tones = tones,
                                         .tone_count = sizeof tones / sizeof *tones,
                                         .blades = 5,
                                         .log_hz = 10,
                                         .log_tolerance_pct = 2,
                                         .shaft_hz = 10,
                                         .highest_hz = 20000 };
    struct blade_passage *rows = NULL;
    size_t count = 0;
    struct err err = { 0 };
    tap_ok(passages_judge(&question, &rows, &count, &err), "blade lines are judged");
    tap_ok(count == 5, "rows go on to two beyond blade 3, the last found: %zu", count);
    for (size_t i = 0; i < count; i++)
        tap_text(blade_verdict_key(rows[i].verdict), i < 3 ? "agrees" : "absent", "verdict of a row");
    free(rows);
    question.tone_count = 1;
    tap_ok(passages_judge(&question, &rows, &count, &err) && count == 4, "at least four rows: %zu", count);
    free(rows);
    tones[1] = named(100, "mains 2");
    question.tone_count = 3;
    tap_ok(passages_judge(&question, &rows, &count, &err) && count == 5 && rows[1].verdict == BLADE_ABSENT,
           "a blade line that the mains hold is absent");
    free(rows);
}

/* A spectrum of 1 Hz lines with 1e-9 Pa^2 in each: 7 lines around an absent blade line hold 7e-9 Pa^2. Blades 2 and 3
 * of 50 dB are found (4e-10 Pa^2 each are 0 dB), blade 1 and 4 not; 60 dB of something else stand 2 Hz beside blade 1.
 */
static void hidden_rows(void)
{
    double pa2[1000];
    for (size_t k = 0; k < 1000; k++)
        pa2[k] = 1e-9;
    pa2[52] += 4e-10 * 1e6;
    struct spectrum spectrum = { .step_hz = 1, .enbw_lines = 1, .pa2 = pa2, .count = 1000 };
    struct tone tones[] = { named(100, "blade 2"), named(150, "blade 3") };
    struct passage_question question = { .tones = tones,
                                         .tone_count = 2,
                                         .blades = 5,
                                         .log_hz = 10,
                                         .log_tolerance_pct = 2,
                                         .shaft_hz = 10,
                                         .highest_hz = 230 };
    struct blade_passage *rows = NULL;
    size_t count = 0;
    struct err err = { 0 };
    tap_ok(passages_judge(&question, &rows, &count, &err) && count == 4, "four rows");
    struct passages_hidden hidden = passages_hidden(rows, count, 5, 10, &spectrum);
    tap_near(hidden.shortfall_db, 10 * log10(1 + (4e-4 + 14e-9) / (2 * 4e-5)), 0.01,
             "so much may be missing at the most, dB");
    tap_ok(hidden.harmonic == 1, "most of it on blade 1: %d", hidden.harmonic);
    tap_near(hidden.most_db, 60, 0.01, "where 60 dB stand");
    free(rows);
    question.tone_count = 0;
    tap_ok(passages_judge(&question, &rows, &count, &err), "no tone at all");
    hidden = passages_hidden(rows, count, 5, 10, &spectrum);
    tap_ok(!is_given(hidden.shortfall_db), "without a blade line there is no sum to fall short of");
    free(rows);
}

static struct tone weaker(struct tone tone, double above_noise_db, double line_ratio_db, double uncertainty_hz)
{
    tone.above_noise_db = above_noise_db;
    tone.line_ratio_db = line_ratio_db;
    tone.uncertainty_hz = uncertainty_hz;
    return tone;
}

static void tones_worth_telling(void)
{
    double pa2[8] = { 0 };
    struct spectrum spectrum = {
        .pa2 = pa2, .count = 8, .step_hz = 0.7, .enbw_lines = 1.5, .block_frames = 65536, .block_count = 8
    };
    double low_db = tone_least_ratio_db(&spectrum, TONE_CHANCE);
    const struct {
        struct tone tone;
        bool is_told;
        const char *what;
    } cases[] = {
        { weaker(named(12, "unexplained"), 5, 40, 0.01), false, "unexplained at 12 Hz" },
        { weaker(named(12.1, "belt turn 1"), 5, low_db + 5.9, 0.01), false, "belt turn at 12 Hz, too weak" },
        { weaker(named(12.2, "belt turn 1"), 5, 40, 0.2), false, "belt turn at 12 Hz, too broad" },
        { weaker(named(12.3, "belt turn 1"), 5, low_db + 6.1, 0.05), true, "belt turn at 12 Hz" },
        { weaker(named(20.1, "unexplained"), -30, 12, 0.2), true, "unexplained at 20 Hz" },
        { weaker(named(999, "unexplained"), -30, 12, 0.1), true, "unexplained and inaudible below 1 kHz" },
        { weaker(named(1001, "unexplained"), -9.9, 12, 0.1), true, "unexplained above 1 kHz, nearly audible" },
        { weaker(named(14000, "unexplained"), -10.1, 12, 0.1), false, "unexplained and inaudible above 1 kHz" },
        { weaker(named(14100, "blade 40"), -30, 12, 0.1), true, "inaudible but of a part" },
    };
    struct tone tones[sizeof cases / sizeof *cases];
    size_t count = sizeof cases / sizeof *cases;
    for (size_t i = 0; i < count; i++)
        tones[i] = cases[i].tone;
    size_t left = tones_tidy(tones, count, &spectrum), at = 0;
    for (size_t i = 0; i < count; i++) {
        bool is_there = at < left && tones[at].hz == cases[i].tone.hz;
        at += is_there;
        tap_ok(is_there == cases[i].is_told, "%s: %s", cases[i].what, is_there ? "told" : "left out");
    }
    tap_ok(at == left, "and nothing else");
}

static void minor_lines(void)
{
    struct variant variant;
    variant_init(&variant);
    variant.blades = 3;
    struct lines lines = { 0 };
    struct err err = { 0 };
    tap_ok(drive_lines(&variant, 6000, 2, 5000, &lines, &err), "lines of three blades");
    size_t wrong = 0, minor = 0;
    for (size_t i = 0; i < lines.count; i++) {
        const struct line *line = &lines.items[i];
        bool is_minor =
            (line->family == LINE_SHAFT && line->number > 8) || (line->family == LINE_MAINS && line->number > 6);
        wrong += is_minor != line->is_minor;
        minor += line->is_minor;
    }
    tap_ok(wrong == 0 && minor > 0, "shaft orders above 8 and mains above 6 are minor: %zu of %zu lines, %zu wrongly",
           minor, lines.count, wrong);
    lines_clear(&lines);
}

int main(void)
{
    blade_rows();
    hidden_rows();
    tones_worth_telling();
    minor_lines();
    return tap_done();
}
