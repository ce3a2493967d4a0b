/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/memory.h"
#include "fixture.h"
#include "report/document.h"
#include "report/faults.h"
#include "report/machine_remarks.h"
#include "report/warnings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What stands on the first page of all that is remarked on: the rules of docs/report.md, "Summary". The fixture has
 * eight runs a rotor: stock2, swept3, slow5. The sentences are those of rotor/ and compare/, shortened. */

#define STOCK2 0
#define SWEPT3 8
#define SLOW5 16

static const char loose[] = "4 tones lie on half orders of the shaft: something may be loose or rub; check screws.";
static const char worn[] = "A bearing may be worn: the band 2.0 to 8.0 kHz knocks at 90.00 Hz.";
static const char unequal[] = "Blades may be unequal, bent or unbalanced: the shaft's other orders lie 20 dB below.";
static const char slipping[] = "Rotor and motor do not match the ratio 5.0000: the motor 15150 rev/min, 1.0 % off.";
static const char humming[] = "The mains hums in this recording (150.0 Hz, 51.0 dB).";
static const char growing[] = "slow5 changes with speed: its shaft's own orders rise against its blade tones by 9 dB. "
                              "Blades that bend apart sound so; stop and look it over before it runs faster.";
static const char far_off[] = "a.wav (row 3, stock2 at 3 N) is 9.0 dB louder than the other runs of it tell: check it.";

static void say_of_all(struct comparisons *all, const char *sentence)
{
    all->remarks = realloc(all->remarks, (all->remark_count + 1) * sizeof *all->remarks);
    if (!all->remarks)
        abort();
    all->remarks[all->remark_count++] = memory_copy_text(sentence);
}

static void check_lines(const struct fixture *fixture, const char *const *lines, size_t count, const char *label)
{
    struct view view;
    struct document document = { 0 };
    view_make(&fixture->results, &view);
    warnings_add(&view, &document);
    tap_ok(document.count == count, "%s: %zu lines", label, document.count);
    for (size_t i = 0; i < count && i < document.count; i++)
        tap_text(document.items[i].text, lines[i], label);
    document_clear(&document);
}

static void nothing_is_wrong(void)
{
    struct fixture fixture;
    fixture_make(&fixture, FIXTURE_UNCALIBRATED);
    fixture_remark(&fixture.results.runs[STOCK2], humming);
    check_lines(&fixture, NULL, 0, "what is not the rotor's fault waits for its section");
    fixture_clear(&fixture);
}

static void danger_comes_first(void)
{
    static const char *const lines[] = {
        "Stop and look: slow5: its shaft's own tones grow with speed against the blades'; don't run it faster before "
        "that. See Differences.",
        "Stop and look: swept3 (1 of 8 runs): something may be loose or rub; check screws, hub and clearances. See "
        "Tones.",
        "Look it over: stock2 (8 of 8 runs): a bearing may be worn; turn it by hand, power off. See Tones.",
        "Look it over: stock2 (8 of 8 runs), slow5 (3 of 8 runs): its blades may be unequal, bent or unbalanced. See "
        "Tones.",
        "More of this kind under Tones and Differences.",
    };
    struct fixture fixture;
    fixture_make(&fixture, FIXTURE_UNCALIBRATED);
    struct run_result *runs = fixture.results.runs;
    say_of_all(&fixture.results.comparisons, far_off);
    say_of_all(&fixture.results.comparisons, growing);
    for (size_t i = 0; i < 8; i++) {
        fixture_remark(&runs[STOCK2 + i], unequal);
        fixture_remark(&runs[STOCK2 + i], worn);
    }
    for (size_t i = 0; i < 3; i++)
        fixture_remark(&runs[SLOW5 + 1 + i], unequal);
    fixture_remark(&runs[SWEPT3], loose);
    check_lines(&fixture, lines, 5, "danger, then wear, then doubts; no more than four");
    fixture_clear(&fixture);
}

/* Wear needs a third of the usable runs, danger one; the unusable say nothing. */
static void few_runs_are_not_enough(void)
{
    static const char *const lines[] = {
        "Look it over: swept3 (3 of 7 runs): rotor and motor do not turn by the drive's ratio: it slips, or a tooth "
        "count or a speed is wrong. See Tones.",
        "Check: a.wav: far louder or quieter than the other runs of the same rotor tell; see to its channel, gain and "
        "line "
        "of the log. See Differences.",
    };
    struct fixture fixture;
    fixture_make(&fixture, FIXTURE_UNCALIBRATED);
    struct run_result *runs = fixture.results.runs;
    for (size_t i = 0; i < 2; i++)
        fixture_remark(&runs[STOCK2 + i], worn);
    for (size_t i = 0; i < 4; i++)
        fixture_remark(&runs[SWEPT3 + i], slipping);
    fixture_remark(&runs[SWEPT3 + 3], loose);
    findings_add(&runs[SWEPT3 + 3].findings, "clipped", SEVERITY_UNUSABLE, ABSENT, "the sound is clipped");
    say_of_all(&fixture.results.comparisons, far_off);
    check_lines(&fixture, lines, 2, "two runs of eight are not told of wear");
    fixture_clear(&fixture);
}

/* Sentences alike are told once: they may differ in their figures, also where these ask for a plural. */
static void counts_may_differ(void)
{
    static const struct {
        const char *a, *b;
        bool is_alike;
    } rows[] = {
        { "The mains may hum (150.0 Hz, 1 tone within 0.2 %).", "The mains may hum (50.0 Hz, 12 tones within 0.2 %).",
          true },
        { "12 tones", "1 tone", true },
        { "the tone of 1 run", "the tones of 12 runs", true },
        { "1 tone", "1 tonal", false },
        { "the pass of 3", "the pas of 3", true }, /* a plural by its form */
        { "2 kHz: sound", "2 kHz: ound", false },
        { "at 3 N", "at 3 N as", false },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        tap_ok(told_alike(rows[i].a, rows[i].b) == rows[i].is_alike &&
                   told_alike(rows[i].b, rows[i].a) == rows[i].is_alike,
               "\"%s\" and \"%s\" are%s alike", rows[i].a, rows[i].b, rows[i].is_alike ? "" : " not");
}

/* Of runs that say the same the worst is shown, with the range, and with the way that it goes; a blade's distance in dB
 * is the worse the smaller. Slip of 1 % at the first thrust of the fixture, and in proportion to thrust from there on.
 */
static void the_worst_speaks_for_all(void)
{
    struct fixture fixture;
    struct view view;
    struct document document = { 0 };
    struct text wanted = { 0 };
    char remark[200], said[2][1000] = { "", "" };
    fixture_make(&fixture, FIXTURE_UNCALIBRATED);
    struct run_result *runs = fixture.results.runs;
    size_t worst = SLOW5;
    for (size_t i = SLOW5; i < SLOW5 + 8; i++) {
        snprintf(remark, sizeof remark,
                 "Rotor and motor do not match the ratio 5.0000: the motor's tones say 15150 rev/min, %.2f %% off "
                 "(friction belts creep 0.5 to 1 %%): the belt may slip.",
                 runs[i].thrust_n / runs[SLOW5].thrust_n);
        fixture_remark(&runs[i], remark);
        worst = runs[i].thrust_n > runs[worst].thrust_n ? i : worst;
    }
    static const double below_db[] = { 24, 21, 19.5, 22 };
    for (size_t i = 0; i < 4; i++) {
        snprintf(remark, sizeof remark,
                 "Blades may be unequal: the shaft's other orders lie %.1f dB below the blade orders, roughly.",
                 below_db[i]);
        fixture_remark(&runs[SWEPT3 + i], remark);
    }
    view_make(&fixture.results, &view);
    machine_remarks_add(&view, &document);
    tap_ok(document.count == 3, "a heading and two remarks: %zu", document.count);
    for (size_t i = 1; i < document.count && i < 3; i++)
        fixture_plain(document.items[i].text, said[i - 1], sizeof *said);
    text_addf(&wanted,
              "%s: Blades may be unequal: the shaft's other orders lie 19.5 dB below the blade orders, roughly. "
              "Likewise, with other figures (24.0 to 19.5 dB below the blade orders): %s, %s, %s.",
              runs[SWEPT3 + 2].file, runs[SWEPT3].file, runs[SWEPT3 + 1].file, runs[SWEPT3 + 3].file);
    tap_text(said[0], wanted.data, "the least of what is the worse the smaller");
    text_clear(&wanted);
    text_addf(&wanted, "%s: %s Likewise, with other figures (1.00 to %.2f %% off, the worse the higher the thrust): ",
              runs[worst].file, runs[worst].rotor.remarks[runs[worst].rotor.remark_count - 1],
              runs[worst].thrust_n / runs[SLOW5].thrust_n);
    tap_ok(strncmp(said[1], wanted.data, wanted.length) == 0, "the largest slip: %s", said[1]);
    tap_ok(strstr(said[1], " and 3 more.") != NULL, "the others, four of them by name");
    text_clear(&wanted);
    document_clear(&document);
    warnings_add(&view, &document);
    text_addf(&wanted,
              "Look it over: slow5 (8 of 8 runs, up to %.2f %% off): ", runs[worst].thrust_n / runs[SLOW5].thrust_n);
    fixture_plain(document.count > 0 ? document.items[0].text : "", said[0], sizeof *said);
    tap_ok(strncmp(said[0], wanted.data, wanted.length) == 0, "and on the first page: %s", said[0]);
    text_clear(&wanted);
    document_clear(&document);
    fixture_clear(&fixture);
}

int main(void)
{
    the_worst_speaks_for_all();
    nothing_is_wrong();
    danger_comes_first();
    few_runs_are_not_enough();
    counts_may_differ();
    return tap_done();
}
