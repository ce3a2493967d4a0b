/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "simulate.h"

#include "compare/results.h"

/* Properties of a whole comparison that hold whatever the numbers. */

#define BANDS 20

/* Three variants, five thrusts, two repeats, bands, tones' shares, loudness, power, speed. */
static struct invented *full_campaign(void)
{
    struct random random = { 99 };
    struct invented *invented = invent_new(3);
    for (size_t v = 0; v < 3; v++) {
        invented->variants[v].diameter_mm = 229 + 10.0 * (double)v;
        for (int i = 0; i < 10; i++) {
            double thrust_n = 1.2 + 0.8 * (i / 2) + 0.1 * (double)v, levels_db[BANDS], power = 0;
            for (int b = 0; b < BANDS; b++) {
                levels_db[b] = 40 + b - 0.06 * b * b - 0.5 * (double)v + (b == 4 ? 15 : 0) + 28 * log10(thrust_n) +
                               0.5 * random_normal(&random);
                power += db_to_power_ratio(levels_db[b] - 3); /* any weighting: the test gives the A-level itself */
            }
            struct run_result *run = invent_run(invented, v, thrust_n, power_ratio_to_db(power));
            invent_bands(run, -9, levels_db, BANDS);
            run->power_w = 12 * pow(thrust_n, 1.5) * (1 + 0.02 * random_normal(&random));
            run->rpm_given = 4000 * sqrt(thrust_n);
            run->figures.hearing.loudness_n5_sone = 3 * pow(2, (power_ratio_to_db(power) - 50) / 10);
            run->rotor.shares = (struct shares){ 55 + 5 * (double)v, 6, 1, 38 - 5 * (double)v };
        }
    }
    return invented;
}

static const struct comparison *same_item(const struct comparisons *list, const struct comparison *like,
                                          const char *variant, const char *reference)
{
    for (size_t i = 0; i < list->count; i++) {
        const struct comparison *item = &list->items[i];
        bool same_band = item->band_hz == like->band_hz || (!is_given(item->band_hz) && !is_given(like->band_hz));
        if (item->at == like->at && same_band && fabs(item->value / like->value - 1) < 1e-12 &&
            strcmp(item->quantity, like->quantity) == 0 && strcmp(item->variant, variant) == 0 &&
            strcmp(item->reference, reference) == 0 && strcmp(item->basis, like->basis) == 0)
            return item;
    }
    return NULL;
}

static enum compare_verdict opposite(enum compare_verdict verdict)
{
    return verdict == COMPARE_QUIETER ? COMPARE_LOUDER : verdict == COMPARE_LOUDER ? COMPARE_QUIETER : verdict;
}

static void swapping(void)
{
    struct invented *invented = full_campaign();
    struct comparisons there = invent_compare(invented, 0), back = invent_compare(invented, 1);
    size_t checked = 0, missing = 0, verdicts = 0;
    double worst = 0;
    for (size_t i = 0; i < there.count; i++) {
        const struct comparison *item = &there.items[i];
        if (strcmp(item->variant, "swept3") != 0)
            continue;
        const struct comparison *swapped = same_item(&back, item, "stock2", "swept3");
        if (!swapped) {
            missing++;
            continue;
        }
        checked++;
        worst = fmax(worst, fabs(item->difference_db + swapped->difference_db));
        worst = fmax(worst, fabs(item->ci95_low_db + swapped->ci95_high_db));
        worst = fmax(worst, fabs(item->ci95_high_db + swapped->ci95_low_db));
        worst = fmax(worst, fabs(item->variant_value - swapped->reference_value));
        worst = fmax(worst, fabs(item->repeat_spread_db - swapped->repeat_spread_db));
        verdicts += swapped->verdict == opposite(item->verdict) &&
                    swapped->survives_many_bands == item->survives_many_bands &&
                    swapped->variant_run_count == item->reference_run_count;
    }
    tap_ok(missing == 0 && checked > 3 * BANDS, "each comparison has its mirror image (%zu, %zu missing)", checked,
           missing);
    tap_near(worst, 0, 1e-10, "every number changes its sign and nothing else");
    tap_ok(verdicts == checked, "verdicts, counts and the correction too");
    double shares = 0;
    for (size_t i = 0; i < there.contribution_count; i++)
        for (size_t k = 0; k < back.contribution_count; k++) {
            const struct contribution *a = &there.contributions[i], *b = &back.contributions[k];
            if (strcmp(a->variant, "swept3") == 0 && strcmp(b->variant, "stock2") == 0 && a->value == b->value &&
                strcmp(a->part, b->part) == 0)
                shares = fmax(shares, fabs(a->share_db + b->share_db));
        }
    tap_near(shares, 0, 1e-10, "contributions too");
    comparisons_clear(&there);
    comparisons_clear(&back);
    invent_free(invented);
}

static void contributions_add_up(void)
{
    struct invented *invented = full_campaign();
    struct comparisons list = invent_compare(invented, 0);
    size_t families = 0;
    double worst = 0;
    for (size_t i = 0; i < list.count; i++) {
        const struct comparison *item = &list.items[i];
        if (strcmp(item->quantity, "LAeq_db") != 0 || item->at != OPERATING_THRUST_N)
            continue;
        double bands_db = 0, tones_db = 0;
        int parts = 0;
        for (size_t k = 0; k < list.contribution_count; k++) {
            const struct contribution *part = &list.contributions[k];
            if (part->value != item->value || strcmp(part->variant, item->variant) != 0)
                continue;
            parts++;
            if (is_given(part->band_hz) || strcmp(part->part, "outside the bands") == 0)
                bands_db += part->share_db;
            else
                tones_db += part->share_db;
        }
        tap_ok(parts == BANDS + 1 + 3, "%s at %g N: all parts are told (%d)", item->variant, item->value, parts);
        worst = fmax(worst, fabs(bands_db - item->difference_db));
        worst = fmax(worst, fabs(tones_db - item->difference_db));
        families++;
    }
    tap_ok(families == 6, "two variants at three points");
    tap_near(worst, 0, 1e-9, "the parts add up to the difference");
    comparisons_clear(&list);
    invent_free(invented);
}

/* Two straight laws, 3 dB apart, without scatter: thrusts at equal level by algebra, T = 10^((L - a) / b). */
static void equal_levels(void)
{
    struct invented *invented = invent_new(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 1; i <= 5; i++)
            invent_run(invented, v, i, 50 - 3 * (double)v + 30 * log10(i));
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(list.equal_level_count == 6, "three levels of two variants (%zu)", list.equal_level_count);
    for (size_t i = 0; i < list.equal_level_count; i++) {
        const struct equal_level *item = &list.equal_levels[i];
        double low_db = strcmp(item->variant, "stock2") == 0 ? 50 : 47;
        tap_near(item->value, db_to_power_ratio((item->level_db - low_db) / 3), 1e-9, "%s reaches %g dB, N",
                 item->variant, item->level_db);
    }
    comparisons_clear(&list);
    invent_free(invented);
}

/* Fieller's interval of the thrust at a level, for a straight line: x - mean between the roots of
 * (b^2 - g) d^2 - 2 b r d + r^2 - t^2 s^2 / n = 0 with r = L - mean y and g = t^2 s^2 / Sxx (Draper and Smith, Applied
 * Regression Analysis, inverse regression; from memory). The deviations are orthogonal to a parabola, so that the
 * fit's own interval is all there is. */
static void fieller(void)
{
    static const double deviation_db[] = { 0.3, -0.3, -0.2, 0.2, 0.4, -0.4, 0.1, -0.1 };
    struct invented *invented = invent_new(2);
    double mean_x = 0, mean_y = 0, sxx = 0, sxy = 0, rest = 0, x[8], y[8];
    for (int i = 0; i < 8; i++) {
        double thrust_n = 1 << (i / 2);
        x[i] = log10(thrust_n);
        y[i] = 50 + 28 * x[i] + deviation_db[i];
        invent_run(invented, 0, thrust_n, y[i]);
        invent_run(invented, 1, thrust_n, y[i] - 0.1);
        mean_x += x[i] / 8;
        mean_y += y[i] / 8;
    }
    for (int i = 0; i < 8; i++) {
        sxx += (x[i] - mean_x) * (x[i] - mean_x);
        sxy += (x[i] - mean_x) * (y[i] - mean_y);
    }
    double slope = sxy / sxx;
    for (int i = 0; i < 8; i++)
        rest += pow(y[i] - mean_y - slope * (x[i] - mean_x), 2);
    /* both variants have the same residuals: pooled, 12 degrees of freedom; factor of GUM table G.2 to more digits */
    double t = 2.17881, variance = rest / 6, g = t * t * variance / sxx;
    struct comparisons list = invent_compare(invented, 0);
    size_t checked = 0;
    for (size_t i = 0; i < list.equal_level_count; i++) {
        const struct equal_level *item = &list.equal_levels[i];
        if (strcmp(item->variant, "stock2") != 0 || !is_given(item->ci95_low) || !is_given(item->ci95_high))
            continue;
        double r = item->level_db - mean_y, a = slope * slope - g, b = slope * r, c = r * r - t * t * variance / 8;
        double root = sqrt(b * b - a * c);
        tap_near(log10(item->ci95_low), mean_x + (b - root) / a, 2e-6, "lower end at %g dB, lg N", item->level_db);
        tap_near(log10(item->ci95_high), mean_x + (b + root) / a, 2e-6, "upper end at %g dB, lg N", item->level_db);
        checked++;
    }
    tap_ok(checked > 0, "an interval inside the range was met");
    comparisons_clear(&list);
    invent_free(invented);
}

static void ranking(void)
{
    struct invented *invented = invent_new(3);
    static const double deviation_db[] = { 0.3, -0.3, -0.2, 0.2, 0.4, -0.4, 0.1, -0.1 };
    static const double offset_db[] = { 0, -0.05, -5 };
    for (size_t v = 0; v < 3; v++)
        for (int i = 0; i < 8; i++)
            invent_run(invented, v, 1 << (i / 2), 50 + offset_db[v] + 28 * log10(1 << (i / 2)) + deviation_db[i]);
    struct comparisons list = invent_compare(invented, 0);
    bool found = false;
    for (size_t i = 0; i < list.remark_count; i++)
        found = found || strstr(list.remarks[i], "quietest first: slow5, then swept3 or stock2");
    tap_ok(found, "a step where it is clear, none where it is not");
    comparisons_clear(&list);
    invent_free(invented);
}

/* A campaign of 55 lg speed is what the rule expects; one of 20 lg is told as implausible. */
static void slopes(void)
{
    static const double deviation_db[] = { 0.1, -0.1, -0.1, 0.1, 0.1, -0.1, 0.1, -0.1 };
    struct invented *invented = invent_new(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 0; i < 8; i++) {
            double rpm = 3000 + 500 * (i / 2);
            invent_run(invented, v, ABSENT, (v ? 20 : 55) * log10(rpm) - 100 + deviation_db[i])->rpm_given = rpm;
        }
    struct comparisons list = invent_compare(invented, 0);
    bool fine = false, flat = false;
    for (size_t i = 0; i < list.remark_count; i++) {
        fine = fine || (strstr(list.remarks[i], "stock2 at microphone ") &&
                        strstr(list.remarks[i], " rises as 55 lg speed") && !strstr(list.remarks[i], "implausibl"));
        flat = flat || (strstr(list.remarks[i], "swept3 at microphone ") &&
                        strstr(list.remarks[i], " rises as 20 lg speed") && strstr(list.remarks[i], "flat"));
    }
    tap_ok(fine && flat, "slopes beside the rule");
    for (size_t i = 0; i < list.curve_count; i++)
        tap_near(list.curves[i].slope_db_per_decade, i ? 20 : 55, 0.8, "slope of %s", list.curves[i].variant);
    comparisons_clear(&list);
    invent_free(invented);
}

/* Loudness that doubles for 10 dB is 2^(D/10) times as large: its difference by algebra, from laws without scatter. */
static void loudness(void)
{
    struct invented *invented = full_campaign();
    struct comparisons list = invent_compare(invented, 0);
    const struct comparison *sone = invent_find(&list, OPERATING_THRUST_N, 3, "loudness_n5_sone", "slow5");
    const struct comparison *level = invent_find(&list, OPERATING_THRUST_N, 3, "LAeq_db", "slow5");
    if (tap_ok(sone && level, "loudness is compared")) {
        tap_near(sone->variant_value / sone->reference_value, pow(2, level->difference_db / 10), 1e-9,
                 "ratio of loudness");
        tap_ok(sone->ci95_low_db < sone->difference_db && sone->difference_db < sone->ci95_high_db, "its interval");
    }
    size_t survivors = 0, bands = 0, clear = 0;
    for (size_t i = 0; i < list.count; i++)
        if (is_given(list.items[i].band_hz) && list.items[i].at == OPERATING_THRUST_N) {
            bands++;
            survivors += list.items[i].survives_many_bands;
            clear += list.items[i].verdict == COMPARE_QUIETER || list.items[i].verdict == COMPARE_LOUDER;
        }
    tap_ok(bands == 6 * BANDS && survivors > 0 && survivors < clear, "bands: %zu clear, %zu after the correction",
           clear, survivors);
    bool loading = false;
    for (size_t i = 0; i < list.curve_count; i++)
        loading =
            loading || (strcmp(list.curves[i].quantity, "power_loading_n_w") == 0 && list.curves[i].fit_count > 0);
    tap_ok(loading, "power loading against thrust");
    comparisons_clear(&list);
    invent_free(invented);
}

/* The results own runs and comparisons, and can be cleared twice (leaks: address sanitizer). */
/* Fluctuation strength near nothing with a scatter as large: its interval ends at 0, that of a difference does not. */
static void nothing_below_zero(void)
{
    struct random random = { 5 };
    struct invented *invented = invent_new(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 0; i < 8; i++)
            invent_run(invented, v, 1.5 + 0.5 * (i / 2), 60)->figures.hearing.fluctuation_vacil =
                0.02 * random_uniform(&random) * random_uniform(&random);
    struct comparisons list = invent_compare(invented, 0);
    double least = INFINITY, least_difference = INFINITY;
    size_t count = 0;
    for (size_t i = 0; i < list.count; i++) {
        const struct comparison *item = &list.items[i];
        if (strcmp(item->quantity, "fluctuation_vacil") != 0 || item->verdict == COMPARE_REFUSED)
            continue;
        count++;
        least = fmin(least, fmin(item->variant_ci95_low, item->reference_ci95_low));
        least_difference = fmin(least_difference, item->ci95_low_db);
    }
    tap_ok(count > 0 && least >= 0 && least < 1e-12, "intervals of %zu figures that can't be negative start at %.3g",
           count, least);
    tap_ok(least_difference < 0, "that of their difference at %.3g", least_difference);
    comparisons_clear(&list);
    invent_free(invented);
}

/* Unevenness over lg speed: level (blades unequal by the same share), scattered, and rising by 12 dB over the range. */
static void a_rotor_that_gives_way(void)
{
    static const double scatter_db[] = { 0.8, -0.6, -0.9, 0.7, 0.5, -0.5, -0.8, 0.8 };
    struct invented *invented = invent_new(3);
    for (size_t v = 0; v < 3; v++)
        for (int i = 0; i < 8; i++) {
            double rpm = 3000 + 500 * (i / 2), rise_db = v == 2 ? 12 * log10(rpm / 3000) / log10(1.5) : 0;
            struct run_result *run = invent_run(invented, v, ABSENT, 55 * log10(rpm) - 100);
            run->rpm_given = rpm;
            run->rotor.unevenness_db = -34 + rise_db + scatter_db[i] * (v == 1 ? 6 : 1);
        }
    struct comparisons list = invent_compare(invented, 0);
    size_t told = 0;
    bool is_right = false;
    for (size_t i = 0; i < list.remark_count; i++) {
        told += strstr(list.remarks[i], "changes with speed") != NULL;
        is_right =
            is_right || (strncmp(list.remarks[i], "slow5 at microphone main", 24) == 0 &&
                         strstr(list.remarks[i], "by 12 dB (") && strstr(list.remarks[i], "from −34 dB at 3000"));
    }
    tap_ok(told == 1 && is_right, "a rotor that gets more uneven with speed is told, and only it");
    comparisons_clear(&list);
    invent_free(invented);
}

/* What an unusable run is measured in says nothing of the others. */
static void whose_levels_are_absolute(void)
{
    struct run_result runs[2];
    for (size_t i = 0; i < 2; i++)
        run_result_init(&runs[i]);
    runs[0].is_absolute = true;
    tap_ok(!results_are_absolute(runs, 2), "one of two usable runs has no calibration");
    findings_add(&runs[1].findings, "clipped", SEVERITY_UNUSABLE, ABSENT, "clipped");
    tap_ok(results_are_absolute(runs, 2), "one that is unusable has none");
    tap_ok(!results_are_absolute(runs + 1, 1), "only that one is there");
    for (size_t i = 0; i < 2; i++)
        run_result_clear(&runs[i]);
}

int main(void)
{
    whose_levels_are_absolute();
    swapping();
    contributions_add_up();
    equal_levels();
    fieller();
    ranking();
    slopes();
    loudness();
    nothing_below_zero();
    a_rotor_that_gives_way();
    return tap_done();
}
