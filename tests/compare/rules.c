/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "invent.h"

/* What is never compared, what becomes one-sided, what cancels. */

static const double thrust_n[] = { 1, 2, 3, 4, 5 };
static const double deviation_db[] = { 0.2, -0.3, 0.1, 0.2, -0.2 };
#define RUNS 5

static double level_db(size_t variant, int i)
{
    return 60 - 3 * (double)variant + 28 * log10(thrust_n[i]) + deviation_db[(i + 2 * (int)variant) % RUNS];
}

static struct invented *campaign(size_t variants)
{
    struct invented *invented = invent_new(variants);
    for (size_t v = 0; v < variants; v++)
        for (int i = 0; i < RUNS; i++)
            invent_run(invented, v, thrust_n[i], level_db(v, i));
    return invented;
}

static bool has_remark(const struct comparisons *list, const char *part)
{
    for (size_t i = 0; i < list->remark_count; i++)
        if (strstr(list->remarks[i], part))
            return true;
    return false;
}

static void outside_the_range(void)
{
    struct invented *invented = campaign(2);
    struct compare_point points[] = { { OPERATING_THRUST_N, 7 }, { OPERATING_THRUST_N, 5 } };
    invented->campaign.compare_points = points;
    invented->campaign.compare_point_count = 2;
    struct comparisons list = invent_compare(invented, 0);
    const struct comparison *item = invent_find(&list, OPERATING_THRUST_N, 7, "LAeq_db", "swept3");
    tap_ok(item && item->verdict == COMPARE_REFUSED && !is_given(item->difference_db), "7 N is refused");
    tap_text(item ? item->reason : NULL, "swept3: 7 N is outside the 1 to 5 N that was measured", "why");
    item = invent_find(&list, OPERATING_THRUST_N, 5, "LAeq_db", "swept3");
    tap_ok(item && item->verdict != COMPARE_REFUSED, "5 N, the end of the range, is not");
    comparisons_clear(&list);
    invent_free(invented);
}

static void no_common_range(void)
{
    struct invented *invented = invent_new(2);
    for (int i = 0; i < RUNS; i++) {
        invent_run(invented, 0, thrust_n[i], level_db(0, i));
        invent_run(invented, 1, 10 + thrust_n[i], 80);
    }
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(list.count == 1 && list.items[0].verdict == COMPARE_REFUSED, "ranges that do not meet are refused");
    tap_text(list.items[0].reason, "no common range: measured from 11 to 15 N against 1 to 5 N", "why");
    comparisons_clear(&list);
    invent_free(invented);
}

/* The default points lie inside what all variants share, whatever the digits. */
static void points_stay_inside(void)
{
    struct invented *invented = invent_new(2);
    for (int i = 0; i < RUNS; i++) {
        invent_run(invented, 0, 1.037 + 0.71 * i, level_db(0, i));
        invent_run(invented, 1, 1.213 + 0.69 * i, level_db(1, i));
    }
    struct comparisons list = invent_compare(invented, 0);
    size_t inside = 0;
    for (size_t i = 0; i < list.count; i++)
        inside += list.items[i].value >= 1.213 && list.items[i].value <= 1.037 + 0.71 * 4 &&
                  list.items[i].verdict != COMPARE_REFUSED;
    tap_ok(list.count == 3 && inside == 3, "three points within 1.213 to 3.877 N (%zu of %zu)", inside, list.count);
    comparisons_clear(&list);
    invent_free(invented);
}

static void upper_bounds(void)
{
    for (int bounded = 0; bounded < 2; bounded++) {
        struct invented *invented = campaign(2);
        for (size_t i = 0; i < RUNS; i++) /* the two quietest runs of one variant */
            if (i < 2)
                invented->runs[(size_t)bounded * RUNS + i].at_reference.is_upper_bound = true;
        struct comparisons list = invent_compare(invented, 0);
        const struct comparison *low = invent_find(&list, OPERATING_THRUST_N, 1, "LAeq_db", "swept3");
        const struct comparison *high = invent_find(&list, OPERATING_THRUST_N, 5, "LAeq_db", "swept3");
        if (tap_ok(low && high && low->value == 1 && high->value == 5, "points at the ends")) {
            if (bounded == 1)
                tap_ok(low->ci95_low_db == -(double)INFINITY && isfinite(low->ci95_high_db),
                       "variant at most: open below");
            else
                tap_ok(low->ci95_high_db == (double)INFINITY && isfinite(low->ci95_low_db),
                       "reference at most: open above");
            tap_ok(isfinite(high->ci95_low_db) && isfinite(high->ci95_high_db), "where it stands clear: two-sided");
        }
        comparisons_clear(&list);
        invent_free(invented);
    }
    struct invented *invented = campaign(2);
    for (size_t i = 0; i < 2 * RUNS; i++)
        invented->runs[i].at_reference.is_upper_bound = true;
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(list.count > 0 && list.items[0].verdict == COMPARE_REFUSED, "two upper bounds have no difference");
    comparisons_clear(&list);
    invent_free(invented);
}

static double budget_standard(const struct comparisons *list, const char *component, double value, bool *cancels)
{
    for (size_t i = 0; i < list->budget_count; i++)
        if (strstr(list->budget[i].component, component) && list->budget[i].value == value) {
            *cancels = list->budget[i].cancels;
            return list->budget[i].standard_db;
        }
    *cancels = false;
    return ABSENT;
}

static void what_cancels(void)
{
    struct invented *invented = campaign(2);
    for (size_t i = 0; i < 2 * RUNS; i++)
        invented->runs[i].gain_drift_db = 0.5;
    struct comparisons list = invent_compare(invented, 0);
    bool cancels;
    tap_near(budget_standard(&list, "calibration of microphone main", 1, &cancels), 0.2, 1e-12, "calibration");
    tap_ok(cancels, "of the same microphone cancels");
    /* 0.144 dB for each of the two at 0.5 dB of drift (rectangular, GUM 4.3.7) */
    tap_near(budget_standard(&list, "drift", 1, &cancels), sqrt(2) * 0.144, 0.0008, "drift between them");
    tap_ok(!cancels, "counts");
    const struct comparison *same = invent_find(&list, OPERATING_THRUST_N, 1, "LAeq_db", "swept3");
    double same_width_db = same ? same->ci95_high_db - same->ci95_low_db : ABSENT;
    comparisons_clear(&list);

    for (size_t i = 0; i < RUNS; i++) {
        free(invented->runs[RUNS + i].microphone);
        invented->runs[RUNS + i].microphone = memory_copy_text("side");
    }
    list = invent_compare(invented, 0);
    const struct comparison *other = invent_find(&list, OPERATING_THRUST_N, 1, "LAeq_db", "swept3");
    tap_ok(other && !is_given(other->ci95_low_db) && other->verdict == COMPARE_UNKNOWN,
           "microphones of no class: no interval, verdict not known (%s)", other ? other->reason : "");
    tap_text(other ? other->microphone : NULL, "side / main", "both are named");
    comparisons_clear(&list);
    invented->microphones[0].meter_class = invented->microphones[1].meter_class = 1;
    list = invent_compare(invented, 0);
    other = invent_find(&list, OPERATING_THRUST_N, 1, "LAeq_db", "swept3");
    tap_near(budget_standard(&list, "calibration of microphone side", 1, &cancels), 0.2, 1e-12, "its calibration");
    tap_ok(!cancels, "counts when there are two microphones");
    tap_ok(!is_given(budget_standard(&list, "drift", 1, &cancels)), "and holds the drift, which counts once");
    tap_near(budget_standard(&list, "response of microphone main", 1, &cancels), 0.577, 0.0005, "class 1 response");
    tap_ok(other && other->ci95_high_db - other->ci95_low_db > same_width_db, "the interval is wider");
    comparisons_clear(&list);
    for (size_t i = 0; i < RUNS; i++)
        invented->runs[i].is_absolute = false;
    list = invent_compare(invented, 0);
    tap_ok(list.items[0].verdict == COMPARE_REFUSED, "relative levels of two microphones are refused");
    comparisons_clear(&list);
    invent_free(invented);
}

static void many_microphones(void)
{
    enum { MICROPHONES = 40 };
    struct invented *invented = invent_new(2);
    struct microphone microphones[MICROPHONES];
    char names[MICROPHONES][8];
    invented->campaign.microphones = microphones;
    invented->campaign.microphone_count = MICROPHONES;
    for (size_t m = 0; m < MICROPHONES; m++) {
        snprintf(names[m], sizeof names[m], "mic%zu", m + 1);
        microphones[m] = invented->microphones[0];
        microphones[m].name = names[m];
        for (size_t v = 0; v < 2; v++) {
            struct run_result *run = invent_run(invented, v, 3, 60 - (double)v);
            free(run->microphone);
            run->microphone = memory_copy_text(names[m]);
        }
    }
    struct comparisons list = invent_compare(invented, 0);
    bool is_there[MICROPHONES] = { false };
    for (size_t i = 0; i < list.count; i++)
        for (size_t m = 0; m < MICROPHONES; m++)
            is_there[m] = is_there[m] || strcmp(list.items[i].microphone, names[m]) == 0;
    size_t count = 0;
    for (size_t m = 0; m < MICROPHONES; m++)
        count += is_there[m];
    tap_ok(count == MICROPHONES, "compared at each of %d microphones: %zu", MICROPHONES, count);
    comparisons_clear(&list);
    invent_free(invented);
}

static void unusable_and_doubtful(void)
{
    struct invented *invented = campaign(3);
    findings_add(&invented->runs[RUNS].findings, "clipped", SEVERITY_UNUSABLE, ABSENT, "clipped");
    findings_add(&invented->runs[RUNS + 2].findings, "gusts", SEVERITY_DOUBTFUL, ABSENT, "gusts");
    findings_add(&invented->runs[0].findings, "low-snr", SEVERITY_DOUBTFUL, 25, "one band");
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(has_remark(&list, "Left out as unusable: run.wav (row 7, swept3): clipped"), "the clipped run is listed");
    const struct comparison *item = invent_find(&list, OPERATING_THRUST_N, 5, "LAeq_db", "swept3");
    tap_ok(item && item->variant_run_count == 4 && item->reference_run_count == 5, "and not used");
    tap_ok(has_remark(&list, "swept3 against stock2 at 5 N, microphone ") && has_remark(&list, "with 1 doubtful run, "),
           "the answer without the doubtful run is told");
    size_t doubtful = 0;
    for (size_t i = 0; i < list.curve_count; i++)
        for (size_t k = 0; k < list.curves[i].point_count; k++)
            doubtful += list.curves[i].points[k].is_doubtful;
    tap_ok(doubtful == 1, "one point is marked doubtful, that with one weak band is not (%zu)", doubtful);
    tap_ok(!has_remark(&list, "slow5 against stock2"), "nothing to say of variants without doubtful runs");
    comparisons_clear(&list);
    invent_free(invented);
}

static void one_variant(void)
{
    struct invented *invented = campaign(1);
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(list.count == 0 && list.budget_count == 0 && list.contribution_count == 0, "no comparisons");
    tap_ok(list.curve_count == 1 && list.curves[0].fit_count > 0, "but its curve");
    comparisons_clear(&list);
    invent_free(invented);
    invented = invent_new(2);
    list = invent_compare(invented, 0);
    tap_ok(list.count == 0 && list.remark_count == 1, "no runs at all: a remark");
    comparisons_clear(&list);
    invent_free(invented);
}

static void wrong_log(void)
{
    struct invented *invented = invent_new(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 0; i < RUNS; i++)
            invent_run(invented, v, ABSENT, 60 + 55 * log10(4 + i) + deviation_db[i])->rpm_given = 4000 + 1000.0 * i;
    struct run_result *run = &invented->runs[RUNS];
    run->rotor.blade_passages = memory_new(1, sizeof *run->rotor.blade_passages);
    if (!run->rotor.blade_passages)
        abort();
    run->rotor.blade_passages[0] = (struct blade_passage){ .verdict = BLADE_SHIFTED, .level_db = 50 };
    run->rotor.blade_passage_count = 1;
    run->rotor.rpm_measured = 4240;
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(has_remark(&list, "contradicts the log's 4000 rev/min") && has_remark(&list, "4240"), "told");
    bool found = false;
    for (size_t i = 0; i < list.curve_count; i++)
        found = found || (strcmp(list.curves[i].variant, "swept3") == 0 && list.curves[i].points[0].value == 4240);
    tap_ok(found, "and taken at the measured speed");
    comparisons_clear(&list);
    run->rotor.rpm_measured = 4010; /* one line is shifted, but the speed agrees: the line is at fault */
    list = invent_compare(invented, 0);
    tap_ok(!has_remark(&list, "contradicts"), "a speed within its tolerance is not called wrong");
    comparisons_clear(&list);
    invent_free(invented);
}

/* Every run recorded at two places: each is compared with its own kind, never one with the other. */
static void two_microphones(void)
{
    struct invented *invented = campaign(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 0; i < RUNS; i++) {
            struct run_result *run = invent_run(invented, v, thrust_n[i], level_db(v, i) + 9 - 2 * (double)v);
            free(run->microphone);
            run->microphone = memory_copy_text("side");
        }
    struct comparisons list = invent_compare(invented, 0);
    size_t at_main = 0, at_side = 0;
    double main_db = ABSENT, side_db = ABSENT;
    for (size_t i = 0; i < list.count; i++) {
        bool is_main = strcmp(list.items[i].microphone, "main") == 0;
        at_main += is_main;
        at_side += strcmp(list.items[i].microphone, "side") == 0;
        *(is_main ? &main_db : &side_db) = list.items[i].difference_db;
    }
    tap_ok(list.count == 6 && at_main == 3 && at_side == 3, "three points at each microphone");
    tap_near(side_db - main_db, -2, 1e-9, "each with its own difference");
    comparisons_clear(&list);
    invent_free(invented);
}

/* A variant without the main axis is named, and the others are compared all the same. */
static void one_without_thrust(void)
{
    struct invented *invented = campaign(3);
    for (size_t i = 2 * RUNS; i < 3 * RUNS; i++)
        invented->runs[i].thrust_n = ABSENT;
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(list.count == 3 && strcmp(list.items[0].variant, "swept3") == 0, "the one with thrust is compared");
    tap_ok(has_remark(&list, "slow5 has no usable run with a thrust"), "the one without is named");
    comparisons_clear(&list);
    invent_free(invented);
}

/* Runs whose hidden blade lines could add 1 dB or more have no blade-tone level to compare. */
static void hidden_blade_lines(double shortfall_db, bool is_used)
{
    struct invented *invented = campaign(2);
    struct blade_passage lines[2 * RUNS] = { 0 };
    for (size_t i = 0; i < invented->run_count; i++) {
        struct rotor_figures *rotor = &invented->runs[i].rotor;
        lines[i] = (struct blade_passage){ .level_db = 50 + 0.1 * (double)(i % 3), .verdict = BLADE_AGREES };
        rotor->blade_passages = &lines[i];
        rotor->blade_passage_count = 1;
        rotor->blade_shortfall_db = i == 0 ? shortfall_db : 0.2;
    }
    struct comparisons list = invent_compare(invented, 0);
    const struct comparison *item = invent_find(&list, OPERATING_THRUST_N, 3, "blade_tone_db", "swept3");
    tap_ok(item && item->reference_run_count == RUNS - !is_used, "%g dB that may be hidden: the run is %s",
           shortfall_db, is_used ? "used" : "left out");
    comparisons_clear(&list);
    for (size_t i = 0; i < invented->run_count; i++)
        invented->runs[i].rotor.blade_passages = NULL;
    invent_free(invented);
}

/* One rotor at 1.5 m, the other at 3 m, alike at 1 m: levels are at the reference distance, loudness is not. */
static void two_distances(double distance_m, bool is_told)
{
    struct invented *invented = campaign(2);
    invented->microphones[1].distance_m = distance_m;
    invented->microphones[0].distance_m = 1.5;
    for (size_t i = 0; i < invented->run_count; i++) {
        struct run_result *run = &invented->runs[i];
        run->figures.hearing.loudness_n5_sone = 10 + 0.1 * (double)(i % 3);
        if (strcmp(run->variant, "swept3") == 0) {
            free(run->microphone);
            run->microphone = memory_copy_text("side");
        }
    }
    struct comparisons list = invent_compare(invented, 0);
    const struct comparison *level = invent_find(&list, OPERATING_THRUST_N, 3, "LAeq_db", "swept3");
    const struct comparison *loudness = invent_find(&list, OPERATING_THRUST_N, 3, "loudness_n5_sone", "swept3");
    tap_ok(level && level->verdict != COMPARE_REFUSED, "levels at 1.5 and %g m are compared", distance_m);
    tap_ok(loudness && (loudness->verdict == COMPARE_REFUSED) != is_told, "loudness is %s",
           is_told ? "too" : "refused");
    if (loudness && !is_told)
        tap_text(loudness->reason,
                 "heard at 3 m and at 1.5 m: such figures are of the sound where the microphone stands", "why");
    comparisons_clear(&list);
    invent_free(invented);
}

int main(void)
{
    two_microphones();
    hidden_blade_lines(0.9, true);
    hidden_blade_lines(1, false);
    two_distances(3, false);
    two_distances(1.55, true);
    one_without_thrust();
    outside_the_range();
    no_common_range();
    points_stay_inside();
    upper_bounds();
    what_cancels();
    many_microphones();
    unusable_and_doubtful();
    one_variant();
    wrong_log();
    return tap_done();
}
