/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "invent.h"

/* Eight thrusts of both variants with the same deviations, 4 dB apart: the difference is exact, and its standard error
 * at 5 N is sqrt 2 times that of one fit, 0.094175318 dB; both scatters are alike, so they are pooled with 12 degrees
 * of freedom: Student's factor 2.18 (GUM table G.2). */
static void equal_thrust(void)
{
    static const double thrust_n[] = { 1, 2, 3, 4, 5, 6, 8, 10 };
    static const double deviation_db[] = { 0.3, -0.2, 0.1, -0.4, 0.2, 0.1, -0.2, 0.1 };
    struct invented *invented = invent_new(2);
    for (int i = 0; i < 8; i++) {
        double level_db = 60 + 28 * log10(thrust_n[i]) + deviation_db[i];
        invent_run(invented, 0, thrust_n[i], level_db);
        invent_run(invented, 1, thrust_n[i], level_db - 4);
    }
    struct compare_point point = { OPERATING_THRUST_N, 5 };
    invented->campaign.compare_points = &point;
    invented->campaign.compare_point_count = 1;
    struct comparisons list = invent_compare(invented, 0);
    const struct comparison *item = invent_find(&list, OPERATING_THRUST_N, 5, "LAeq_db", "swept3");
    if (tap_ok(item && item->value == 5, "compared at 5 N")) {
        tap_near(item->difference_db, -4, 1e-10, "difference");
        double reach = sqrt(2) * 0.094175318;
        tap_near((item->ci95_high_db - item->ci95_low_db) / 2, 2.18 * reach, 0.005 * reach,
                 "half width of its interval");
        tap_ok(item->verdict == COMPARE_QUIETER, "verdict");
        tap_text(item->basis, "line fit", "basis");
        tap_text(item->words, "quieter by 4.0 dB (3.7 to 4.3), clearly audible", "in words");
        tap_near(item->reference_value, 60.091358 + 27.846471 * log10(5), 1e-6, "the reference's level");
    }
    comparisons_clear(&list);
    invent_free(invented);
}

/* Two speeds only: the points that coincide within 2 % are compared, with the repeats' scatter. Hand case: repeats
 * 60.0, 60.4 against 57.0, 57.2 at one speed, 66.0, 66.2 against 62.9, 63.1 at the other: pooled variance
 * (0.08 + 0.02 + 0.02 + 0.02) / 4 = 0.035, standard error sqrt(0.035 (1/2 + 1/2)), Student 2.78 at 4 degrees. */
static void same_logged_speed(void)
{
    struct invented *invented = invent_new(2);
    static const struct {
        int variant;
        double rpm, level_db;
    } rows[] = {
        { 0, 4000, 60.0 }, { 0, 4000, 60.4 }, { 1, 4000, 57.0 }, { 1, 4000, 57.2 }, { 0, 5000, 66.0 },
        { 0, 5000, 66.2 }, { 1, 5000, 62.9 }, { 1, 5000, 63.1 }, { 1, 5600, 66.0 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0] - 1; i++)
        invent_run(invented, (size_t)rows[i].variant, ABSENT, rows[i].level_db)->rpm_given = rows[i].rpm;
    struct comparisons list = invent_compare(invented, 0);
    const struct comparison *item = invent_find(&list, OPERATING_RPM, 4000, "LAeq_db", "swept3");
    if (tap_ok(item && list.count == 2, "compared at both speeds (%zu comparisons)", list.count)) {
        tap_near(item->difference_db, -3.1, 1e-10, "difference of the means");
        tap_near((item->ci95_high_db - item->ci95_low_db) / 2, 2.78 * sqrt(0.035), 0.005 * sqrt(0.035), "half width");
        tap_near(item->repeat_spread_db, sqrt(0.035), 1e-10, "pooled spread of the repeats");
        tap_text(item->basis, "same points", "basis");
        tap_ok(item->variant_run_count == 2 && item->reference_run_count == 2, "two runs of each");
    }
    comparisons_clear(&list);
    invent_free(invented);
}

int main(void)
{
    equal_thrust();
    same_logged_speed();
    return tap_done();
}
