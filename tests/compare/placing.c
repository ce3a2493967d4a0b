/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A blade tone that moves through third octaves as the rotor turns faster, over noise with a law of its own: what a
 * band holds at a thrust is known in closed form. What a band's filter passes is what the meter says of itself,
 * which tests/meters/bands.c holds to its readings. */
#include "tap.h"

#include "invent.h"

#include "meters/band.h"
#include "meters/band_meter.h"
#include "meters/weighting.h"

#define RATE_HZ 48000
#define BAND_FIRST (-11) /* 79 Hz */
#define BANDS 7          /* to 316 Hz */

/* The sum of two laws is a parabola to within this. */
#define BOUND_DB 0.1

struct machine {
    double noise_db, noise_slope_db; /* of every band, at 1 N */
    double tone_db, tone_slope_db;
    double blade_hz; /* at 1 N; rises as the root of thrust */
};

static const struct machine quiet = { 40, 20, -HUGE_VAL, 30, 100 };
static const struct machine tonal = { 42, 20, 70, 30, 100 };

static double exact_hz(int index)
{
    return 1000 * db_to_power_ratio(index);
}

static double passed(int index, double hz)
{
    struct band band = band_make(3, index);
    struct band_response response = band_meter_response(&band, RATE_HZ);
    return band_response_ratio(&response, hz);
}

static double truth_db(const struct machine *machine, int index, double thrust_n)
{
    double decades = log10(thrust_n);
    double tone = db_to_power_ratio(machine->tone_db + machine->tone_slope_db * decades);
    return power_ratio_to_db(db_to_power_ratio(machine->noise_db + machine->noise_slope_db * decades) +
                             tone * passed(index, machine->blade_hz * sqrt(thrust_n)));
}

/* A run of two blades; `is_heard`: the tone was found. `off_db` lifts all of it. */
static void add_run(struct invented *invented, size_t variant, const struct machine *machine, double thrust_n,
                    bool is_heard, double off_db)
{
    double levels_db[BANDS], a_energy = 0;
    for (int i = 0; i < BANDS; i++) {
        levels_db[i] = truth_db(machine, BAND_FIRST + i, thrust_n) + off_db;
        a_energy += db_to_power_ratio(levels_db[i] + weighting_db(WEIGHTING_A, exact_hz(BAND_FIRST + i)));
    }
    struct run_result *run = invent_run(invented, variant, thrust_n, power_ratio_to_db(a_energy));
    invent_bands(run, BAND_FIRST, levels_db, BANDS);
    double blade_hz = machine->blade_hz * sqrt(thrust_n);
    run->rotor.rpm_measured = hz_to_rpm(blade_hz / 2);
    if (!is_heard || !isfinite(machine->tone_db))
        return;
    run->rotor.tones = memory_new(1, sizeof *run->rotor.tones);
    if (!run->rotor.tones)
        abort();
    run->rotor.tone_count = 1;
    run->rotor.tones[0] =
        (struct tone){ .hz = blade_hz,
                       .level_db = machine->tone_db + machine->tone_slope_db * log10(thrust_n) + off_db,
                       .source = "blade 1",
                       .shaft_order = 2 };
}

static void add_runs(struct invented *invented, const double *thrusts_n, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        add_run(invented, 0, &quiet, thrusts_n[i], true, 0);
        add_run(invented, 1, &tonal, thrusts_n[i], true, 0);
    }
}

static const struct comparison *find_band(const struct comparisons *list, double thrust_n, int index)
{
    for (size_t i = 0; i < list->count; i++) {
        const struct comparison *item = &list->items[i];
        if (item->at == OPERATING_THRUST_N && fabs(item->value - thrust_n) < 1e-9 &&
            fabs(item->band_hz / exact_hz(index) - 1) < 1e-9)
            return item;
    }
    return NULL;
}

static struct comparisons compare_at(struct invented *invented, struct compare_point *points, size_t count)
{
    invented->campaign.compare_points = points;
    invented->campaign.compare_point_count = count;
    return invent_compare(invented, 0);
}

/* At 2.51 N the tone stands in the middle of the 158 Hz band, at 2 N between two bands, at 1 N it is two bands below,
 * and a line through what the 126 Hz band reads from 1 to 6 N would tell of its skirts what is in its middle. The 200
 * Hz band at 2.51 N is hidden by the tone from 3.2 N on, so the runs at 2.5 N tell it. */
static void told_where_it_lies(void)
{
    static const double thrusts_n[] = { 1, 1.3, 1.6, 2, 2.5, 3.2, 4, 6 };
    struct compare_point points[] = { { OPERATING_THRUST_N, 2 }, { OPERATING_THRUST_N, 2.51 } };
    static const struct {
        double thrust_n;
        int index;
    } cases[] = { { 2, -9 }, { 2, -8 }, { 2.51, -8 }, { 2.51, -9 }, { 2.51, -7 } };
    struct invented *invented = invent_new(2);
    add_runs(invented, thrusts_n, sizeof thrusts_n / sizeof thrusts_n[0]);
    struct comparisons list = compare_at(invented, points, 2);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const struct comparison *item = find_band(&list, cases[i].thrust_n, cases[i].index);
        if (!tap_ok(item && item->verdict != COMPARE_REFUSED, "%.0f Hz at %g N", exact_hz(cases[i].index),
                    cases[i].thrust_n))
            continue;
        double truth = truth_db(&tonal, cases[i].index, cases[i].thrust_n);
        tap_near(item->variant_value, truth, BOUND_DB, "its level");
        double difference_db = truth - item->reference_value;
        if (strcmp(item->basis, "same points") == 0) /* two runs beside the tone, one of each: no scatter to judge by */
            tap_ok(!is_given(item->ci95_low_db) && strncmp(item->reason, "no interval", 11) == 0, "no interval");
        else
            tap_ok(item->ci95_low_db <= difference_db && difference_db <= item->ci95_high_db,
                   "its interval holds the truth");
    }
    comparisons_clear(&list);
    invent_free(invented);
}

/* At 1.26 N the tone is below the 158 Hz band; at 2 N it fills it: only the runs at 1 and 4 N tell what else the band
 * holds, and that is no law. The quiet one's level is known. */
static void refused_where_hidden(void)
{
    static const double thrusts_n[] = { 1, 2, 4 };
    struct compare_point point = { OPERATING_THRUST_N, 1.26 };
    struct invented *invented = invent_new(2);
    add_runs(invented, thrusts_n, 3);
    struct comparisons list = compare_at(invented, &point, 1);
    const struct comparison *item = find_band(&list, 1.26, -8);
    if (tap_ok(item && item->verdict == COMPARE_REFUSED,
               "refused where the tone hides the band in one of three runs")) {
        tap_text(item->reason, "swept3: blade 1 fills this band at 2 N, and what else it holds there is not known",
                 "why");
        tap_ok(!is_given(item->difference_db) && !is_given(item->ci95_low_db) && !is_given(item->ci95_high_db) &&
                   !is_given(item->variant_value) && !item->survives_many_bands,
               "neither figure, interval nor star");
        tap_near(item->reference_value, truth_db(&quiet, -8, 1.26), 1e-6, "the level of the other");
    }
    double sum = 0;
    for (size_t i = 0; i < list.contribution_count; i++)
        sum += list.contributions[i].share_db;
    tap_near(sum, invent_find(&list, OPERATING_THRUST_N, 1.26, "LAeq_db", "swept3")->difference_db, 1e-9,
             "the parts of the difference add up all the same");
    bool is_told = false;
    for (size_t i = 0; i < list.remark_count; i++)
        is_told = is_told || strstr(list.remarks[i], "of the nearest runs, with their tones");
    tap_ok(is_told, "and a remark tells which bands no law tells");
    comparisons_clear(&list);
    invent_free(invented);
}

/* At 2 N the tone has left the 100 Hz band that it fills at 1 N: two points are no law, but both were measured at 2 N.
 * Repeats 0.1 dB to both sides: s = 0.141 dB for each variant and point, 6 degrees of freedom (GUM table G.2: 2.45). */
static void told_at_same_points(void)
{
    static const double thrusts_n[] = { 1, 2, 4 };
    struct compare_point point = { OPERATING_THRUST_N, 2 };
    struct invented *invented = invent_new(2);
    for (size_t i = 0; i < 3; i++)
        for (int k = -1; k <= 1; k += 2) {
            add_run(invented, 0, &quiet, thrusts_n[i], true, 0.1 * k);
            add_run(invented, 1, &tonal, thrusts_n[i], true, 0.1 * k);
        }
    struct comparisons list = compare_at(invented, &point, 1);
    const struct comparison *item = find_band(&list, 2, -10);
    if (tap_ok(item && item->verdict != COMPARE_REFUSED, "told where both were measured at the point")) {
        tap_text(item->basis, "same points", "basis");
        tap_near(item->difference_db, truth_db(&tonal, -10, 2) - truth_db(&quiet, -10, 2), 1e-9, "as measured");
        tap_near((item->ci95_high_db - item->ci95_low_db) / 2, 2.45 * sqrt(0.02), 0.002, "by the scatter of repeats");
    }
    comparisons_clear(&list);
    invent_free(invented);
}

/* The tone stands out in two of three runs only, and carries the 126 Hz band at 1.6 N: no law. */
static void refused_where_heard_unevenly(void)
{
    static const double thrusts_n[] = { 1, 2, 4 };
    struct compare_point point = { OPERATING_THRUST_N, 1.6 };
    struct invented *invented = invent_new(2);
    for (size_t i = 0; i < 3; i++) {
        add_run(invented, 0, &quiet, thrusts_n[i], true, 0);
        add_run(invented, 1, &tonal, thrusts_n[i], i != 2, 0);
    }
    struct comparisons list = compare_at(invented, &point, 1);
    const struct comparison *item = find_band(&list, 1.6, -9);
    if (tap_ok(item && item->verdict == COMPARE_REFUSED, "refused where the tone is heard in some runs only"))
        tap_text(item->reason, "swept3: blade 1 lies in this band, and is heard in some runs only", "why");
    comparisons_clear(&list);
    invent_free(invented);
}

int main(void)
{
    told_where_it_lies();
    refused_where_hidden();
    told_at_same_points();
    refused_where_heard_unevenly();
    return tap_done();
}
