/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "compare/operating.h"
#include "fixture.h"
#include "report/document.h"
#include "report/letters.h"
#include "report/report.h"
#include "report/sections.h"
#include "report/view.h"

#include <math.h>
#include <string.h>

#define SLOW5 2 /* the variant's place in the fixture */

static void name_microphone(struct run_result *run, const char *name)
{
    free(run->microphone);
    run->microphone = strdup(name);
}

/* stock2 and swept3 by microphone main, slow5 by another alone: it is still compared. */
static void another_microphone(void)
{
    struct fixture fixture;
    struct view view;
    fixture_make(&fixture, FIXTURE_RICH);
    struct comparisons *all = &fixture.results.comparisons;
    for (size_t i = 0; i < fixture.results.run_count; i++) {
        struct run_result *run = &fixture.results.runs[i];
        if (run->variant)
            name_microphone(run, strcmp(run->variant, "slow5") == 0 ? "below" : "main");
    }
    for (size_t i = 0; i < all->count; i++)
        snprintf(all->items[i].microphone, sizeof all->items[i].microphone, "%s",
                 strcmp(all->items[i].variant, "slow5") == 0 ? "below / main" : "main");
    view_make(&fixture.results, &view);
    struct view_value value = { ABSENT, ABSENT, ABSENT };
    const struct comparison *item = view_comparison(&view, 3.5, "LAeq_db", ABSENT, SLOW5);
    tap_text(view.microphone, "main", "the reference's microphone is the main one");
    tap_ok(item && strcmp(item->variant, "slow5") == 0, "a comparison across microphones stands for the variant");
    tap_ok(view_value(&view, 3.5, "LAeq_db", ABSENT, SLOW5, &value), "its value is shown");
    tap_near(value.value, item ? item->variant_value : ABSENT, 1e-12, "and is its own");
    const struct run_result *run = view_run(&view, SLOW5, 3.5);
    tap_ok(run && strcmp(run->microphone, "below") == 0, "its runs are in the pictures");
    struct text out = { 0 };
    report_terminal(&fixture.results, &out);
    tap_ok(out.data && strstr(out.data, "slow5 (Five-blade, belt-driven) is the quietest"),
           "and it wins in the answer");
    text_clear(&out);
    fixture_clear(&fixture);
}

/* By an operating quantity without fits, pairs coincide at values that differ a little: one point, not two. */
static void coinciding_points(void)
{
    struct fixture fixture;
    struct view view;
    fixture_make(&fixture, FIXTURE_RICH);
    struct comparisons *all = &fixture.results.comparisons;
    view_make(&fixture.results, &view);
    tap_ok(view.value_count == 3, "three points of fits (%zu)", view.value_count);
    for (size_t i = 0; i < all->count; i++) {
        snprintf(all->items[i].basis, sizeof all->items[i].basis, "same points");
        all->items[i].value *= strcmp(all->items[i].variant, "slow5") == 0 ? 1.005 : 1;
    }
    view_make(&fixture.results, &view);
    tap_ok(view.value_count == 3, "still three, not six (%zu)", view.value_count);
    tap_ok(view_comparison(&view, view.values[1], "LAeq_db", ABSENT, 1) &&
               view_comparison(&view, view.values[1], "LAeq_db", ABSENT, SLOW5),
           "both variants are found there");
    for (size_t i = 0; i < all->count; i++)
        snprintf(all->items[i].basis, sizeof all->items[i].basis, "line fit");
    view_make(&fixture.results, &view);
    tap_ok(view.value_count == 6, "points of fits that differ are told apart (%zu)", view.value_count);
    fixture_clear(&fixture);
}

/* Where every level was refused the pictures are of the points asked for. */
static void refused_points(void)
{
    struct fixture fixture;
    struct view view;
    fixture_make(&fixture, FIXTURE_RICH);
    struct comparisons *all = &fixture.results.comparisons;
    for (size_t i = 0; i < all->count; i++)
        if (strcmp(all->items[i].quantity, "LAeq_db") == 0)
            all->items[i].verdict = COMPARE_REFUSED;
    view_make(&fixture.results, &view);
    tap_ok(!view.is_compared && view.value_count == 3, "nothing is compared, three points are shown (%zu)",
           view.value_count);
    fixture_clear(&fixture);
}

/* Refused at equal thrust, but not at equal speed: the answer says so before it goes on; a fit that was refused does
 * not hide the runs that coincide. */
static void another_quantity(void)
{
    struct fixture fixture;
    struct view view;
    struct text out = { 0 };
    fixture_make(&fixture, FIXTURE_RICH);
    struct comparisons *all = &fixture.results.comparisons;
    struct comparison *speed = &all->items[all->count - 1], told = all->items[0];
    for (size_t i = 0; i < all->count; i++)
        if (strcmp(all->items[i].quantity, "LAeq_db") == 0)
            all->items[i].verdict = COMPARE_REFUSED;
    snprintf(told.variant, sizeof told.variant, "%s", speed->variant);
    told.at = speed->at;
    told.value = speed->value;
    told.verdict = COMPARE_LOUDER;
    snprintf(told.basis, sizeof told.basis, "same points");
    all->items[all->count - 2] = *speed;
    *speed = told;
    view_make(&fixture.results, &view);
    const struct comparison *item = view_comparison(&view, told.value, "LAeq_db", ABSENT, SLOW5);
    tap_ok(view.at == OPERATING_RPM && view.is_compared, "by speed");
    tap_ok(item && item->verdict == COMPARE_LOUDER, "the one that was not refused is found");
    report_terminal(&fixture.results, &out);
    tap_ok(out.data && strstr(out.data, "At equal thrust no levels can be compared"), "and the answer says so");
    text_clear(&out);
    fixture_clear(&fixture);
}

/* The terminal's words on one line: lines are broken anywhere. */
static void tell(const struct results *results, struct text *out)
{
    report_terminal(results, out);
    for (size_t i = 0; i < out->length; i++)
        out->data[i] = out->data[i] == '\n' ? ' ' : out->data[i];
}

/* A rotor whose levels were all refused is not passed over: it might be the quietest. */
static void left_out(void)
{
    struct fixture fixture;
    struct text out = { 0 };
    fixture_make(&fixture, FIXTURE_RICH);
    struct comparisons *all = &fixture.results.comparisons;
    for (size_t i = 0; i < all->count; i++)
        if (strcmp(all->items[i].quantity, "LAeq_db") == 0 && strcmp(all->items[i].variant, "slow5") == 0) {
            all->items[i].verdict = COMPARE_REFUSED;
            snprintf(all->items[i].reason, sizeof all->items[i].reason, "too near the background");
        }
    tell(&fixture.results, &out);
    tap_ok(out.data && strstr(out.data, "slow5 could not be compared (too near the background): it may be quieter"),
           "the rotor that could not be compared is named");
    tap_ok(out.data && strstr(out.data, " of those compared at "), "and the quietest is that of those compared");
    text_clear(&out);
    for (size_t i = 0; i < all->count; i++)
        if (strcmp(all->items[i].quantity, "LAeq_db") == 0 && fabs(all->items[i].value - 2) < 1e-9)
            all->items[i].verdict = COMPARE_REFUSED;
    for (size_t i = 0; i < all->count; i++) /* one of three points is left to swept3 */
        if (strcmp(all->items[i].quantity, "LAeq_db") == 0 && fabs(all->items[i].value - 5) < 1e-9)
            all->items[i].verdict = COMPARE_REFUSED;
    tell(&fixture.results, &out);
    tap_ok(out.data && strstr(out.data, "slow5 could not be compared (too near the background): it may"),
           "points at which nothing was compared are none of the view's");
    text_clear(&out);
    for (size_t i = 0; i < all->count; i++)
        if (strcmp(all->items[i].quantity, "LAeq_db") == 0 && strcmp(all->items[i].variant, "slow5") == 0 &&
            fabs(all->items[i].value - 2) < 1e-9)
            all->items[i].verdict = COMPARE_QUIETER;
    tell(&fixture.results, &out);
    tap_ok(out.data && strstr(out.data, "swept3 at 2\xc2\xa0N, slow5 at 3.5\xc2\xa0N could not be compared (why: under "
                                        "Differences): they may be quieter or louder than any of these."),
           "two rotors left out share a sentence");
    text_clear(&out);
    fixture_clear(&fixture);
}

/* A quantity refused for the same reason as another is not told again. */
static void refused_once(void)
{
    struct fixture fixture;
    struct document document;
    struct err err;
    size_t count = 0;
    fixture_make(&fixture, FIXTURE_RICH);
    struct comparisons *all = &fixture.results.comparisons;
    for (size_t i = 0; i < all->count; i++)
        if (strcmp(all->items[i].variant, "swept3") == 0 && fabs(all->items[i].value - 2) < 1e-9) {
            all->items[i].verdict = COMPARE_REFUSED;
            snprintf(all->items[i].reason, sizeof all->items[i].reason, "outside what was measured");
        }
    if (!tap_ok(document_make(&fixture.results, &document, &err), "a document is made"))
        return;
    for (size_t i = 0; i < document.count; i++)
        if (document.items[i].text && strncmp(document.items[i].text, "Not compared: swept3", 20) == 0 && count++ == 0)
            tap_text(document.items[i].text,
                     "Not compared: swept3, LAeq and 9 other quantities at 2\xc2\xa0N: outside what was measured.",
                     "told");
    tap_ok(count == 1, "once (%zu)", count);
    document_clear(&document);
    fixture_clear(&fixture);
}

/* Without comparisons the quantity that most runs have; of equals the first in the order of docs/report.md: thrust,
 * power, tip speed, speed, throttle. */
static void the_quantity_without_comparisons(void)
{
    struct fixture fixture;
    struct view view;
    fixture_make(&fixture, FIXTURE_ONE_VARIANT);
    for (size_t i = 0; i < fixture.results.run_count; i++)
        fixture.results.runs[i].thrust_n = fixture.results.runs[i].power_w = ABSENT;
    view_make(&fixture.results, &view);
    tap_text(operating_name(view.at), "tip speed", "runs with speed and tip speed alone");
    fixture_clear(&fixture);
}

/* A letter that no font has (U+10F123, of those for private use) is noticed wherever the report shows it. */
static void letters_are_looked_for(void)
{
    struct fixture fixture;
    fixture_make(&fixture, FIXTURE_UNCALIBRATED);
    struct campaign *campaign = &fixture.campaign;
    for (size_t i = 0; i < campaign->variant_count; i++)
        memcpy(campaign->variants[i].title, "", 1);
    memcpy(campaign->title, "", 1);
    for (size_t i = 0; i < fixture.results.run_count; i++)
        for (size_t k = 0; k < fixture.results.runs[i].note_count; k++)
            fixture.results.runs[i].notes[k].value[0] = fixture.results.runs[i].notes[k].column[0] = '\0';
    if (letters_lack(&fixture.results)) {
        tap_skip("the fonts here lack letters of the fixture");
    } else {
        snprintf(fixture.results.runs[3].gain_source, sizeof fixture.results.runs[3].gain_source,
                 "calibrator-\xf4\x8f\x84\xa3.wav");
        tap_ok(letters_lack(&fixture.results), "in what a gain comes from");
        fixture.results.runs[3].gain_source[0] = '\0';
        struct bearing bearing = { .name = (char[]){ "front-\xf4\x8f\x84\xa3" } };
        campaign->variants[0].bearings = &bearing;
        campaign->variants[0].bearing_count = 1;
        tap_ok(letters_lack(&fixture.results), "in the name of a bearing");
        campaign->variants[0].bearings = NULL;
        campaign->variants[0].bearing_count = 0;
        tap_ok(!letters_lack(&fixture.results), "and nowhere else");
    }
    fixture_clear(&fixture);
}

int main(void)
{
    letters_are_looked_for();
    the_quantity_without_comparisons();
    refused_once();
    another_microphone();
    coinciding_points();
    refused_points();
    another_quantity();
    left_out();
    return tap_done();
}
