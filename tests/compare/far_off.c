/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs far off the others: named when more than 5 dB and more than 4 scatters off, told by medians (Sen, J. American
 * Statistical Association 63 (1968) 1379; a normal scatter is 1.4826 times the median of the absolute deviations). */
#include "tap.h"

#include "invent.h"

#define POINTS 5
#define STEP_DB 0.2 /* repeats lie this far to both sides of the law: so the scatter is 1.4826 x 0.2 dB */

static size_t count_remarks(const struct comparisons *list, const char *text)
{
    size_t count = 0;
    for (size_t i = 0; i < list->remark_count; i++)
        count += strstr(list->remarks[i], text) != NULL;
    return count;
}

/* Two repeats at five thrusts, `scale` times as far apart; the second run of the second variant at 3 N is off. */
static struct invented *campaign_with(double off_db, double scale)
{
    static const double thrusts_n[POINTS] = { 1, 2, 3, 4, 5 };
    struct invented *invented = invent_new(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 0; i < POINTS; i++)
            for (int k = -1; k <= 1; k += 2) {
                double level_db = 60 - 4 * (double)v + 28 * log10(thrusts_n[i]) + scale * STEP_DB * k;
                invent_run(invented, v, thrusts_n[i], level_db + (v == 1 && i == 2 && k == 1 ? off_db : 0));
            }
    return invented;
}

static void named(void)
{
    static const struct {
        double off_db, scale;
        bool is_named;
    } cases[] = {
        { 12, 1, true }, { -9, 1, true }, { 4, 1, false }, { 6, 1, true }, { 6, 10, false }, { 16, 10, true }
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct invented *invented = campaign_with(cases[i].off_db, cases[i].scale);
        struct comparisons list = invent_compare(invented, 0);
        tap_ok(count_remarks(&list, "than the other runs of it tell") == cases[i].is_named,
               "a run %g dB off where repeats lie %g dB apart is %s", cases[i].off_db, 2 * STEP_DB * cases[i].scale,
               cases[i].is_named ? "named" : "not named");
        comparisons_clear(&list);
        invent_free(invented);
    }
}

/* The run lies 0.2 dB above the law already; the slope of most pairs is that of the law. */
static void told(void)
{
    struct compare_point point = { OPERATING_THRUST_N, 3 };
    struct invented *invented = campaign_with(12, 1);
    invented->campaign.compare_points = &point;
    invented->campaign.compare_point_count = 1;
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(count_remarks(&list, "run.wav (row 17, swept3 at 3 N) is 12.") == 1, "with its row, point and figure");
    tap_ok(count_remarks(&list,
                         "dB louder than the other runs of it tell: check its channel, gain and line of the log.") == 1,
           "and what to check");
    const struct comparison *item = invent_find(&list, OPERATING_THRUST_N, 3, "LAeq_db", "swept3");
    tap_ok(item && item->variant_run_count == 2 * POINTS, "it stays in the comparison");
    tap_ok(count_remarks(&list, "with 1 run far off, \xe2\x88\x92"
                                "4.0 dB (") == 1,
           "the answer without it: 4 dB quieter, as invented");
    comparisons_clear(&list);
    invent_free(invented);
}

/* Two points are no line; three runs at one of them tell which of them is off, two at the other don't. */
static void repeats(void)
{
    static const struct {
        double thrust_n, level_db;
    } rows[] = { { 1, 60 }, { 1, 60.3 }, { 1, 71 }, { 2, 68 }, { 2, 80 } };
    struct invented *invented = invent_new(2);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        invent_run(invented, 0, rows[i].thrust_n, rows[i].level_db);
        invent_run(invented, 1, rows[i].thrust_n, 60);
    }
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(count_remarks(&list, "(row 6, stock2 at 1 N) is 10.7 dB louder") == 1, "of three repeats the one far off");
    tap_ok(count_remarks(&list, "than the other runs of it tell") == 1, "of two repeats none");
    comparisons_clear(&list);
    invent_free(invented);
}

/* Both repeats at 3 N of the second variant 12 dB up: the point is named, not its runs. They lie 0.2 dB to both sides
 * of the law, and the median of the others 0.2 dB above it. */
static void a_point(void)
{
    struct invented *invented = campaign_with(0, 1);
    for (size_t i = 0; i < invented->run_count; i++)
        if (i >= 2 * POINTS && fabs(invented->runs[i].thrust_n - 3) < 0.1)
            invented->runs[i].at_reference.laeq_db += 12;
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(count_remarks(&list, "swept3 at 3 N is 11.8 dB") == 1 &&
               count_remarks(&list, "louder than its other operating points tell, in all 2 runs alike") == 1,
           "all runs of a point alike: the point is named");
    tap_ok(count_remarks(&list, "than the other runs of it tell") == 0, "none of its runs is blamed");
    tap_ok(count_remarks(&list, "with 2 runs far off") == 3, "the answers without them are told");
    comparisons_clear(&list);
    invent_free(invented);
}

int main(void)
{
    named();
    told();
    repeats();
    a_point();
    return tap_done();
}
