/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/memory.h"
#include "fixture.h"
#include "report/answer.h"
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

/* Levels that hold the background are not told as the rotor's alone. */
static void background_is_missed(void)
{
    static const char words[] = "No background was recorded, so none is taken off";
    for (int has_background = 0; has_background <= 1; has_background++) {
        struct fixture fixture;
        struct view view;
        struct document document = { 0 };
        bool is_told = false;
        fixture_make(&fixture, FIXTURE_RICH);
        if (!has_background) {
            free(fixture.campaign.microphones[0].background);
            fixture.campaign.microphones[0].background = NULL;
        }
        view_make(&fixture.results, &view);
        answer_add(&view, &document);
        for (size_t i = 0; i < document.count; i++)
            is_told = is_told || strstr(document.items[i].text, words);
        tap_ok(is_told == !has_background, "%s", has_background ? "a background" : "no background");
        document_clear(&document);
        fixture_clear(&fixture);
    }
}

/* A text with plain spaces for those that keep a figure with its unit (U+00A0). */
static void plain(const char *from, char *out, size_t size)
{
    size_t used = 0;
    for (; *from && used + 1 < size; from++) {
        bool is_kept = strncmp(from, "\xc2\xa0", 2) == 0;
        from += is_kept;
        out[used++] = is_kept ? ' ' : *from;
    }
    out[used] = '\0';
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
        plain(document.items[i].text, said[i - 1], sizeof *said);
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
    plain(document.count > 0 ? document.items[0].text : "", said[0], sizeof *said);
    tap_ok(strncmp(said[0], wanted.data, wanted.length) == 0, "and on the first page: %s", said[0]);
    text_clear(&wanted);
    document_clear(&document);
    fixture_clear(&fixture);
}

/* A point that was asked for and could not be compared, and a run that takes no part, are told on the first page. */
static void what_is_missing_is_told(void)
{
    struct fixture fixture;
    struct view view;
    struct document document = { 0 };
    bool is_point = false, is_run = false;
    fixture_make(&fixture, FIXTURE_RICH);
    struct comparisons *all = &fixture.results.comparisons;
    struct compare_point asked[2] = { { OPERATING_THRUST_N, all->items[0].value }, { OPERATING_THRUST_N, 9 } };
    const struct campaign kept = fixture.campaign;
    fixture.campaign.compare_points = asked;
    fixture.campaign.compare_point_count = 2;
    struct comparison *items = memory_new(all->count + 1, sizeof *items);
    if (!items)
        abort();
    memcpy(items, all->items, all->count * sizeof *items);
    items[all->count] = items[0];
    items[all->count].value = 9;
    items[all->count].verdict = COMPARE_REFUSED;
    text_fit(items[all->count].reason, sizeof items->reason, "9 N is outside what was measured");
    free(all->items);
    all->items = items;
    all->count++;
    fixture.results.runs[SWEPT3 + 1].thrust_n = ABSENT;
    view_make(&fixture.results, &view);
    answer_add(&view, &document);
    char run_said[300], said[1000];
    snprintf(run_said, sizeof run_said,
             "%s: no thrust is known of it, so it takes no part in what is compared at equal thrust.",
             fixture.results.runs[SWEPT3 + 1].file);
    for (size_t i = 0; i < document.count; i++) {
        plain(document.items[i].text, said, sizeof said);
        is_point =
            is_point || strcmp(said, "Not answered: at 9 N, which compare_at asks for, nothing could be compared "
                                     "(9 N is outside what was measured).") == 0;
        is_run = is_run || strcmp(said, run_said) == 0;
        tap_ok(!strstr(said, "Not answered") || strstr(said, "at 9 N"), "only that point: %s", said);
    }
    tap_ok(is_point, "a point that was asked for");
    tap_ok(is_run, "a run of which the thrust is not known");
    document_clear(&document);
    fixture.campaign.compare_points = kept.compare_points;
    fixture.campaign.compare_point_count = kept.compare_point_count;
    fixture_clear(&fixture);
}

/* Where nothing can be compared, what to record is told: rotors without a row are not said to be at fault, and points
 * that are too few or too far apart are named. */
static void the_way_out_is_told(void)
{
    struct fixture fixture;
    struct view view;
    struct document document = { 0 };
    char said[1000];
    fixture_make(&fixture, FIXTURE_RICH);
    struct run_result *runs = fixture.results.runs;
    for (size_t i = 0; i < fixture.results.comparisons.count; i++)
        fixture.results.comparisons.items[i].verdict = COMPARE_REFUSED;
    for (size_t i = 0; i < 8; i++) {
        runs[SWEPT3 + i].thrust_n = i < 4 ? 20 : 30;
        runs[SLOW5 + i].thrust_n = i < 4 ? 2 : 5;
    }
    view_make(&fixture.results, &view);
    answer_plain_add(&view, &document);
    static const char *const wanted[] = {
        "swept3 was recorded at 2 points from 20 N to 30 N, stock2 was recorded at 4 points from ",
        ": they have no thrust in common. Record both at 3 points or more over the same range.",
        "slow5 was recorded at 2 points from 2 N to 5 N, stock2 was recorded at 4 points from ",
        ": record each at 3 points or more over the same range.",
    };
    for (size_t k = 0; k < 4; k++) {
        plain(document.count > 1 + k / 2 ? document.items[1 + k / 2].text : "", said, sizeof said);
        tap_ok(strstr(said, wanted[k]), "\"%s\" is in: %s", wanted[k], said);
    }
    document_clear(&document);
    fixture_clear(&fixture);
}

/* An interval that is missing is told with its own reason, and is not taken for one that holds 0. */
static void a_missing_interval_has_its_reason(void)
{
    for (int all_missing = 0; all_missing <= 1; all_missing++) {
        struct fixture fixture;
        struct view view;
        struct document document = { 0 };
        char said[1500];
        fixture_make(&fixture, FIXTURE_RICH);
        struct comparison *items = fixture.results.comparisons.items;
        for (size_t i = 0; i < fixture.results.comparisons.count; i++)
            if (all_missing || items[i].value > 4) {
                items[i].verdict = COMPARE_UNKNOWN;
                items[i].ci95_low_db = items[i].ci95_high_db = ABSENT;
                text_fit(items[i].reason, sizeof items[i].reason,
                         "no interval: unknown size of frequency response of microphone main");
            }
        view_make(&fixture.results, &view);
        answer_add(&view, &document);
        plain(document.items[0].text, said, sizeof said);
        tap_ok(strstr(said, all_missing
                                ? "There is no interval (unknown size of frequency response of microphone main), "
                                  "so nobody can say how sure the difference is. "
                                : "At the other points there is no interval (unknown size of frequency response "
                                  "of microphone main), so nobody can say how sure the difference is there. ") &&
                   !strstr(said, "holds 0"),
               "%s: %s", all_missing ? "no interval" : "one missing", said);
        document_clear(&document);
        fixture_clear(&fixture);
    }
}

/* "Lower by 0.0 dB" says nothing. */
static void nothing_is_less_than_a_tenth(void)
{
    struct fixture fixture;
    struct view view;
    struct document document = { 0 };
    char said[1500];
    fixture_make(&fixture, FIXTURE_RICH);
    struct comparison *items = fixture.results.comparisons.items;
    for (size_t i = 0; i < fixture.results.comparisons.count; i++)
        if (strcmp(items[i].quantity, "LAeq_db") == 0 && items[i].verdict != COMPARE_REFUSED &&
            strcmp(items[i].variant, "slow5") == 0 && items[i].value > 4) {
            items[i].difference_db = -0.04;
            items[i].verdict = COMPARE_UNCLEAR;
        } else if (items[i].value > 4) {
            items[i].difference_db = 0.5;
        }
    view_make(&fixture.results, &view);
    answer_add(&view, &document);
    plain(document.items[0].text, said, sizeof said);
    tap_ok(strstr(said, "less than 0.1 dB at 5 N") && !strstr(said, "0.0 dB"), "a difference that rounds to 0: %s",
           said);
    document_clear(&document);
    fixture_clear(&fixture);
}

/* A difference that is not told from the scatter has no causes to tell; elsewhere the rotors do differ. */
static void scatter_is_not_explained(void)
{
    for (int is_clear = 0; is_clear <= 1; is_clear++) {
        struct fixture fixture;
        struct view view;
        struct document document = { 0 };
        bool is_explained = false;
        fixture_make(&fixture, FIXTURE_RICH);
        struct comparison *items = fixture.results.comparisons.items;
        for (size_t i = 0; i < fixture.results.comparisons.count && !is_clear; i++)
            if (items[i].value > 3 && items[i].value < 4)
                items[i].verdict = COMPARE_UNCLEAR;
        view_make(&fixture.results, &view);
        answer_add(&view, &document);
        for (size_t i = 0; i < document.count; i++)
            is_explained =
                is_explained || strstr(document.items[i].text, "Why:") || strstr(document.items[i].text, "Where the ");
        tap_ok(is_explained == is_clear, "a difference that is%s clear at the middle point", is_clear ? "" : " not");
        document_clear(&document);
        fixture_clear(&fixture);
    }
}

int main(void)
{
    scatter_is_not_explained();
    nothing_is_less_than_a_tenth();
    a_missing_interval_has_its_reason();
    the_way_out_is_told();
    what_is_missing_is_told();
    the_worst_speaks_for_all();
    background_is_missed();
    nothing_is_wrong();
    danger_comes_first();
    few_runs_are_not_enough();
    counts_may_differ();
    return tap_done();
}
