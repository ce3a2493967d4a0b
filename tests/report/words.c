/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "fixture.h"
#include "report/document.h"
#include "report/faults.h"
#include "report/report.h"
#include "report/sections.h"
#include "report/show.h"
#include "report/what_if_words.h"
#include "report/why.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What the report says in words of results that are made up: the sentence is right when it follows from them. */

#define STOCK2 0 /* the variants' places in the fixture */
#define SLOW5 2
#define AT_N 3.5 /* the middle point of the fixture */

static void set(char *text, size_t size, const char *words)
{
    snprintf(text, size, "%s", words);
}

static void end(struct fixture *fixture, struct text *out)
{
    text_clear(out);
    fixture_clear(fixture);
}

/* Of the two rotors only one third octave differs in noise, and another, far more, by a tone. */
static void make_noise(struct fixture *fixture, const struct view *view, double noise_hz)
{
    const struct run_result *runs[] = { view_run(view, STOCK2, AT_N), view_run(view, SLOW5, AT_N) };
    struct comparisons *all = &fixture->results.comparisons;
    for (size_t i = 0; i < all->contribution_count; i++) {
        struct contribution *item = &all->contributions[i];
        if (!is_given(item->band_hz))
            item->share_db = strcmp(item->part, "broadband") == 0 ? -6 : -1;
    }
    for (size_t r = 0; r < 2; r++)
        for (size_t i = 0; i < runs[r]->figures.third_octave.count; i++) {
            struct band *band = &runs[r]->figures.third_octave.items[i];
            struct band_at_reference *at = &runs[r]->at_reference.bands[i];
            bool is_noisy = r == 0 && fabs(band->nominal_hz - noise_hz) < 1;
            at->is_upper_bound = false;
            at->level_db = band->level_db = is_noisy ? 60 : 40;
        }
    struct rotor_figures *rotor = &fixture->results.runs[runs[0] - fixture->results.runs].rotor;
    rotor->tone_count = 1;
    rotor->tones[0].hz = 400;
    rotor->tones[0].level_db = 70;
    for (size_t i = 0; i < runs[0]->figures.third_octave.count; i++)
        if (fabs(runs[0]->figures.third_octave.items[i].nominal_hz - 400) < 1)
            runs[0]->at_reference.bands[i].level_db = runs[0]->figures.third_octave.items[i].level_db = 70.1;
    fixture->results.runs[runs[1] - fixture->results.runs].rotor.tone_count = 0;
}

static void noise_is_placed_by_noise(void)
{
    struct fixture fixture;
    struct view view;
    struct text out = { 0 };
    fixture_make(&fixture, FIXTURE_RICH);
    view_make(&fixture.results, &view);
    make_noise(&fixture, &view, 2500);
    why_add_short(&view, AT_N, SLOW5, &out);
    tap_text(out.data, "Why: at 3.5 N most of it lies in the broadband noise, above all around 2500 Hz. ",
             "the band of a tone is not told of noise, though it differs by 30 dB");
    text_clear(&out);
    make_noise(&fixture, &view, 400);
    why_add_short(&view, AT_N, SLOW5, &out);
    tap_text(out.data, "Why: at 3.5 N most of it lies in the broadband noise. ", "and none where only a tone differs");
    text_clear(&out);
    struct comparisons *all = &fixture.results.comparisons;
    for (size_t i = 0; i < all->contribution_count; i++)
        if (is_given(all->contributions[i].band_hz))
            all->contributions[i].share_db = fabs(all->contributions[i].band_hz - 400) < 1 ? -3 : -0.1;
    why_add_parts(&view, AT_N, SLOW5, &out);
    tap_ok(out.data && strstr(out.data, "Of all third octaves that at 400 Hz carries most, −3.0: in it lies blade 1 of "
                                        "stock2 at 400 Hz."),
           "the tone in the band that carries most is named");
    end(&fixture, &out);
}

static void tones_are_named(void)
{
    struct fixture fixture;
    struct view view;
    struct text out = { 0 };
    fixture_make(&fixture, FIXTURE_RICH);
    view_make(&fixture.results, &view);
    struct comparisons *all = &fixture.results.comparisons;
    for (size_t i = 0; i < all->contribution_count; i++)
        if (strcmp(all->contributions[i].part, "other tones") == 0)
            all->contributions[i].share_db = -7;
        else if (!is_given(all->contributions[i].band_hz))
            all->contributions[i].share_db = -0.5;
    why_add_short(&view, AT_N, SLOW5, &out);
    tap_text(out.data,
             "Why: at 3.5 N most of it lies in tones other than the blades', the strongest of them an unexplained one "
             "of stock2 at 3412 Hz. ",
             "the louder rotor's strongest tone of that kind, by the A-weighted level");
    end(&fixture, &out);
}

/* Units stay with their numbers by no-break spaces: here any space will do. */
static bool document_has(const struct document *document, const char *words)
{
    for (size_t i = 0; i < document->count; i++) {
        char *plain = memory_copy_text(document->items[i].text ? document->items[i].text : "");
        size_t length = 0;
        for (const char *at = plain; plain && *at; at++) {
            bool is_kept = strncmp(at, "\xc2\xa0", 2) == 0;
            plain[length++] = is_kept ? ' ' : *at;
            at += is_kept;
        }
        if (plain)
            plain[length] = '\0';
        bool found = plain && strstr(plain, words);
        free(plain);
        if (found)
            return true;
    }
    return false;
}

static void set_difference(struct comparisons *all, double value, double difference_db)
{
    for (size_t i = 0; i < all->count; i++) {
        struct comparison *item = &all->items[i];
        if (strcmp(item->quantity, "LAeq_db") != 0 || item->at != OPERATING_THRUST_N ||
            fabs(item->value - value) > 0.01)
            continue;
        item->difference_db = strcmp(item->variant, "slow5") == 0 ? difference_db : -0.5;
        item->ci95_low_db = item->difference_db - 0.3;
        item->ci95_high_db = item->difference_db + 0.3;
        item->verdict = COMPARE_QUIETER;
    }
}

/* Steps: docs/comparison.md, clearly audible from 3 dB, a large step from 6 dB. */
static void steps_are_those_quoted(void)
{
    static const struct {
        double differences_db[3]; /* at 2, 3.5 and 5 N */
        const char *words;
    } rows[] = {
        { { -5.3, -5.9, -5.0 }, "real for these recordings: clearly audible. " },
        { { -5.3, -5.9, -6.5 }, "real for these recordings: clearly audible at 3.5 N and 2 N, a large step at 5 N. " },
        { { -6.2, -5.9, -6.5 }, "real for these recordings: clearly audible at 3.5 N, a large step at 2 N and 5 N. " },
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        static const double points_n[] = { 2, 3.5, 5 };
        struct fixture fixture;
        struct document document;
        struct err err;
        fixture_make(&fixture, FIXTURE_RICH);
        for (size_t p = 0; p < 3; p++)
            set_difference(&fixture.results.comparisons, points_n[p], rows[r].differences_db[p]);
        if (!tap_ok(document_make(&fixture.results, &document, &err), "a document is made"))
            return;
        tap_ok(document_has(&document, rows[r].words), "words of the quoted figures: %s", rows[r].words);
        document_clear(&document);
        fixture_clear(&fixture);
    }
}

static void add(struct run_result *run, const char *code, enum severity severity, double band_hz, const char *sentence)
{
    findings_add(&run->findings, code, severity, band_hz, "%s", sentence);
}

/* Of nine runs five stand too near, one of them has a wrong row, two wind alike, one is clipped, one failed. */
static void worst_faults_first(void)
{
    struct fixture fixture;
    struct text out = { 0 };
    fixture_make(&fixture, FIXTURE_ONE_VARIANT);
    struct run_result *runs = fixture.results.runs;
    tap_ok(fixture.results.run_count == 9, "eight runs and one that failed (%zu)", fixture.results.run_count);
    for (size_t i = 0; i < 5; i++) {
        char sentence[80];
        snprintf(sentence, sizeof sentence, "the microphone is %zu m too near: move it", i + 1);
        add(&runs[i], "near-field", SEVERITY_DOUBTFUL, ABSENT, sentence);
    }
    add(&runs[3], "speed-differs", SEVERITY_DOUBTFUL, ABSENT, "the log is wrong; check it");
    add(&runs[4], "gusts", SEVERITY_DOUBTFUL, ABSENT, "wind; use a screen");
    add(&runs[2], "gusts", SEVERITY_DOUBTFUL, ABSENT, "wind; use a screen");
    add(&runs[5], "clipped", SEVERITY_UNUSABLE, ABSENT, "clipped: lower the gain");
    add(&runs[5], "near-field", SEVERITY_DOUBTFUL, ABSENT, "the microphone is 6 m too near: move it");
    faults_tell(&fixture.results, FAULTS_BRIEF, &out);
    tap_text(
        out.data,
        " stock2-4200-b.wav is unusable: clipped. stock2-lost <&> é.wav is unusable: it could not be measured."
        " stock2-3000-b.wav is doubtful: the log is wrong. stock2-3000-a.wav, stock2-4200-a.wav are doubtful: wind."
        " 5 runs are doubtful alike (here stock2-2000-a.wav): the microphone is 1 m too near. See Findings.",
        "unusable runs, then what few have, then what many share; a lesser fault of an unusable run is not told");
    text_clear(&out);
    faults_tell(&fixture.results, FAULTS_LINES, &out);
    tap_ok(out.data && strstr(out.data, "\n5 runs, doubtful alike (here stock2-2000-a.wav): the microphone is 1 m too "
                                        "near: move it\n"),
           "a line of the terminal has the whole sentence");
    end(&fixture, &out);
}

static void many_faults_are_cut(void)
{
    struct fixture fixture;
    struct text out = { 0 };
    fixture_make(&fixture, FIXTURE_ONE_VARIANT);
    for (size_t i = 0; i < 7; i++) {
        char code[20];
        snprintf(code, sizeof code, "code-%zu", i);
        add(&fixture.results.runs[i], code, SEVERITY_DOUBTFUL, ABSENT, code);
    }
    faults_tell(&fixture.results, FAULTS_BRIEF, &out);
    tap_ok(out.data && strstr(out.data, "code-3") && !strstr(out.data, "code-4") &&
               strstr(out.data, " More under Findings."),
           "no more than five in the summary");
    end(&fixture, &out);
}

/* The page's number of doubtful runs, and that of comparisons, which let bands pass. */
static void doubtful_bands_are_told(void)
{
    struct fixture fixture;
    struct view view;
    struct text out = { 0 };
    fixture_make(&fixture, FIXTURE_ONE_VARIANT);
    for (size_t i = 0; i < 3; i++)
        add(&fixture.results.runs[i], "low-snr", SEVERITY_DOUBTFUL, 25, "the 25 Hz band is a bound; record nearer");
    view_make(&fixture.results, &view);
    runs_verdicts_tell(&view, &out);
    tap_ok(out.data && strstr(out.data, "3 are doubtful (used; only in some bands, so their A-levels count as good)"),
           "all of them: %s", out.data);
    text_clear(&out);
    add(&fixture.results.runs[0], "near-field", SEVERITY_DOUBTFUL, ABSENT, "too near; move it");
    runs_verdicts_tell(&view, &out);
    tap_ok(out.data && strstr(out.data, "3 are doubtful (used, and marked; 2 of them only in some bands, so their "
                                        "A-levels count as good)"),
           "some of them: %s", out.data);
    end(&fixture, &out);
}

/* The block that has the words; the count of blocks when none has. */
static size_t place_of(const struct document *document, const char *words)
{
    size_t i = 0;
    while (i < document->count && !(document->items[i].text && strstr(document->items[i].text, words)))
        i++;
    return i;
}

/* Cells that hold the words, or nothing but them. */
static size_t count_cells(const struct document *document, const char *words, bool is_whole)
{
    size_t count = 0;
    for (size_t i = 0; i < document->count; i++)
        for (size_t r = 0; document->items[i].table && r < document->items[i].table->row_count; r++)
            for (size_t c = 0; c < document->items[i].table->rows[r].count; c++) {
                const char *text = document->items[i].table->rows[r].cells[c].text;
                count += is_whole ? strcmp(text, words) == 0 : strstr(text, words) != NULL;
            }
    return count;
}

static size_t table_rows_with(const struct document *document, const char *words)
{
    return count_cells(document, words, false);
}

static void runs_alike_are_named(void)
{
    struct fixture fixture;
    struct document document;
    struct err err;
    fixture_make(&fixture, FIXTURE_ONE_VARIANT);
    for (size_t i = 0; i < 7; i++) {
        char sentence[80];
        snprintf(sentence, sizeof sentence, "the microphone is %zu m too near: move it", i + 1);
        add(&fixture.results.runs[i], "near-field", SEVERITY_DOUBTFUL, ABSENT, sentence);
        snprintf(sentence, sizeof sentence, "The belt slips by %zu.5 %%.", i);
        fixture_remark(&fixture.results.runs[i], sentence);
    }
    fixture_remark(&fixture.results.runs[7], "A bearing may be worn.");
    add(&fixture.results.runs[1], "gusts", SEVERITY_DOUBTFUL, ABSENT, "gusts of 3 m/s");
    add(&fixture.results.runs[2], "gusts", SEVERITY_DOUBTFUL, ABSENT, "gusts of 4 m/s");
    if (!tap_ok(document_make(&fixture.results, &document, &err), "a document is made"))
        return;
    tap_ok(document_has(&document, "stock2-2000-a.wav: The belt slips by 0.5 %. Likewise, with other figures: "
                                   "stock2-2000-b.wav, stock2-3000-a.wav, stock2-3000-b.wav, stock2-4200-a.wav and 2 "
                                   "more."),
           "four runs are named, and how many more");
    tap_ok(place_of(&document, "A bearing may be worn.") < place_of(&document, "The belt slips by 0.5"),
           "what one run says stands before what seven say");
    tap_ok(table_rows_with(&document, " m too near") == 1, "a finding of seven runs is one row");
    tap_ok(table_rows_with(&document, "stock2-2000-a.wav; with other figures: stock2-2000-b.wav, ") == 1,
           "which names them");
    tap_ok(table_rows_with(&document, "gusts of ") == 2, "of two runs each has its row");
    document_clear(&document);
    fixture_clear(&fixture);
}

/* Every finding is in one row and no more, whatever the other rotors say. */
static void no_finding_is_lost(void)
{
    struct fixture fixture;
    struct document document;
    struct err err;
    fixture_make(&fixture, FIXTURE_RICH);
    struct run_result *runs = fixture.results.runs; /* eight of each rotor */
    for (size_t i = 0; i < 24; i++) {
        char sentence[80];
        add(&runs[i], "distance", SEVERITY_DOUBTFUL, ABSENT, "the stand of 3 m is high");
        snprintf(sentence, sizeof sentence, "%zu s are short", i);
        add(&runs[i], "short", SEVERITY_NOTE, ABSENT, sentence);
        snprintf(sentence, sizeof sentence, "gusts of %zu m/s", i < 8 ? i : 2);
        if (i < 12)
            add(&runs[i], "gusts", SEVERITY_DOUBTFUL, ABSENT, sentence);
    }
    if (!tap_ok(document_make(&fixture.results, &document, &err), "a document is made"))
        return;
    tap_ok(table_rows_with(&document, "the stand of 3 m") == 1, "the same sentence of all rotors is one row");
    tap_ok(table_rows_with(&document, "0 s are short") == 1 && table_rows_with(&document, " s are short") == 1,
           "so is a note, whatever its figures");
    tap_ok(table_rows_with(&document, "gusts of ") == 2 && table_rows_with(&document, "gusts of 0 m/s") == 1 &&
               table_rows_with(&document, "gusts of 2 m/s") == 1,
           "a rotor of which all say what one of another's does has a row of its own");
    tap_ok(count_cells(&document, "swept3-2000-a.wav, swept3-2000-b.wav, swept3-3000-a.wav, swept3-3000-b.wav", true) ==
               1,
           "of its runs");
    document_clear(&document);
    fixture_clear(&fixture);
}

static void calibrations_are_explained(void)
{
    struct fixture fixture;
    struct document document;
    struct err err;
    static const char words[] = "The gain is that of the calibrator recorded before the runs";
    fixture_make(&fixture, FIXTURE_ONE_VARIANT);
    free(fixture.results.runs[1].microphone);
    fixture.results.runs[1].microphone = memory_copy_text("far");
    if (!tap_ok(document_make(&fixture.results, &document, &err), "a document is made"))
        return;
    tap_ok(count_cells(&document, fixture.results.runs[0].gain_source, true) == 2,
           "of two microphones with the same gain each has its row");
    tap_ok(document_has(&document, words), "which of two calibrator recordings is used");
    document_clear(&document);
    for (size_t i = 0; i < fixture.results.run_count; i++)
        fixture.results.runs[i].gain_drift_db = ABSENT;
    if (!tap_ok(document_make(&fixture.results, &document, &err), "another"))
        return;
    tap_ok(!document_has(&document, words), "nothing of it without a second recording");
    document_clear(&document);
    fixture_clear(&fixture);
}

/* Round brackets: what a remark is told from goes, what it says stays. */
static void machine_on_the_terminal(void)
{
    static const struct {
        const char *remark, *line;
    } rows[] = {
        { "Blades are unequal (told from 5 %; by symmetry).", "\nmachine: Blades are unequal.\n" },
        { "A bearing may be worn: it knocks (outer race, due at 87 Hz; 12 dB high, told from 9 dB); turn it.",
          "\nmachine: A bearing may be worn: it knocks (outer race, due at 87 Hz); turn it.\n" },
        { "It hums (100 Hz; 48 dB): told from afar.", "\nmachine: It hums (100 Hz; 48 dB): told from afar.\n" },
        { "It hums (100 Hz, 48 dB): a cable (or not", "\nmachine: It hums (100 Hz, 48 dB): a cable (or not\n" },
        { "(told from 1 %)", "\nmachine: (told from 1 %)\n" },
        { "No brackets.", "\nmachine: No brackets.\n" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct fixture fixture;
        struct text out = { 0 };
        fixture_make(&fixture, FIXTURE_ONE_VARIANT);
        fixture_remark(&fixture.results.runs[0], rows[i].remark);
        report_terminal_runs(fixture.results.runs, 1, &out);
        tap_ok(out.data && strstr(out.data, rows[i].line), "%s", rows[i].remark);
        end(&fixture, &out);
    }
}

/* Mains hum is none of the rotor's. */
static void mains_is_set_apart(void)
{
    static const struct {
        bool prominent[3]; /* blade, mains, motor */
        const char *words;
    } rows[] = {
        { { false, false, false }, ". No tone of it is prominent." },
        { { false, true, false },
          ". No tone of it is prominent. Mains hum is prominent, but not the rotor's: nothing done to the rotor takes "
          "it off." },
        { { true, false, false },
          ". Only its blade tones are prominent: silent, they take 3.0 dB off, and no tone is prominent any more." },
        { { true, true, false },
          ". Only its blade tones are prominent: silent, they take 3.0 dB off, and no tone of it is prominent any "
          "more. Mains hum is prominent too, but not the rotor's: nothing done to the rotor takes it off." },
        { { true, false, true },
          ". Prominent are its blade tones and motor tones: silencing one source leaves the other prominent." },
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        struct what_if items[3] = { { .kind = WHAT_IF_TONES, .share_pct = 50, .fall_db = 3 },
                                    { .kind = WHAT_IF_TONES, .share_pct = 30, .fall_db = 1.5 },
                                    { .kind = WHAT_IF_TONES, .share_pct = 20, .fall_db = 1 } };
        static const char *const sources[] = { "blade", "mains", "motor" };
        struct text out = { 0 };
        for (size_t i = 0; i < 3; i++) {
            set(items[i].source, sizeof items[i].source, sources[i]);
            items[i].is_prominent = rows[r].prominent[i];
        }
        what_if_advise(&(struct what_if_list){ items, 3 }, &out);
        size_t length = out.data ? strlen(out.data) : 0, wanted = strlen(rows[r].words);
        tap_text(length >= wanted ? out.data + length - wanted : "", rows[r].words, "prominent");
        text_clear(&out);
    }
    struct what_if mains = { .kind = WHAT_IF_TONES, .share_pct = 60, .fall_db = 4, .source = "mains" };
    struct text out = { 0 };
    what_if_advise(&(struct what_if_list){ &mains, 1 }, &out);
    tap_text(out.data,
             "mains hum carries 60 % of the A-weighted energy: it is not the rotor's, so keep it out of the recording "
             "first. Without it LAeq would fall by 4.0 dB at most. No tone of it is prominent.",
             "where it carries most");
    text_clear(&out);
}

static void advice(struct what_if item, const char *words)
{
    struct text out = { 0 };
    what_if_advise(&(struct what_if_list){ &item, 1 }, &out);
    tap_text(out.data, words, "the whole advice");
    text_clear(&out);
}

/* A source that is all there is leaves nothing to fall to; one that is next to nothing takes no "< 0.1 dB". */
static void all_and_next_to_nothing(void)
{
    advice((struct what_if){ .kind = WHAT_IF_BROADBAND, .share_pct = 100, .fall_db = INFINITY, .source = "broadband" },
           "broadband noise carries 100 % of the A-weighted energy: it is all there is. No tone of it is prominent.");
    advice(
        (struct what_if){ .kind = WHAT_IF_TONES, .share_pct = 100, .fall_db = INFINITY, .source = "mains" },
        "mains hum carries 100 % of the A-weighted energy: it is all there is, and not the rotor's. No tone of it is "
        "prominent.");
    advice(
        (struct what_if){
            .kind = WHAT_IF_TONES, .share_pct = 100, .fall_db = INFINITY, .source = "blade", .is_prominent = true },
        "blade tones carry 100 % of the A-weighted energy: they are all there is. Only its blade tones are prominent: "
        "silent, they leave nothing.");
    advice(
        (struct what_if){
            .kind = WHAT_IF_TONES, .share_pct = 0.5, .fall_db = 0.02, .source = "pwm", .is_prominent = true },
        "no source carries half of the A-weighted energy; the largest is PWM tones with 1 %. Without them LAeq would "
        "fall by less than 0.1 dB. Only its PWM tones are prominent: silent, they take less than 0.1 dB off, and no "
        "tone is prominent any more.");
}

int main(void)
{
    all_and_next_to_nothing();
    noise_is_placed_by_noise();
    tones_are_named();
    steps_are_those_quoted();
    worst_faults_first();
    many_faults_are_cut();
    doubtful_bands_are_told();
    runs_alike_are_named();
    no_finding_is_lost();
    calibrations_are_explained();
    machine_on_the_terminal();
    mains_is_set_apart();
    return tap_done();
}
