/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "base/memory.h"
#include "base/num.h"
#include "base/units.h"
#include "compare/words.h"
#include "fixture_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double points_n[] = { 2.0, 3.5, 5.0 };

static struct comparison *add(struct comparisons *out)
{
    void *items = out->items;
    if (!memory_grow(&items, &out->capacity, out->count + 1, sizeof *out->items))
        abort();
    out->items = items;
    struct comparison *item = &out->items[out->count++];
    *item = (struct comparison){ 0 };
    return item;
}

static struct comparison *compare(struct comparisons *out, const char *quantity, double at, size_t variant,
                                  double value, double reference, double half)
{
    struct comparison *item = add(out);
    item->at = OPERATING_THRUST_N;
    item->value = at;
    snprintf(item->quantity, sizeof item->quantity, "%s", quantity);
    item->band_hz = ABSENT;
    snprintf(item->variant, sizeof item->variant, "%s", fixture_laws[variant].name);
    snprintf(item->reference, sizeof item->reference, "%s", fixture_laws[0].name);
    item->variant_value = value;
    item->reference_value = reference;
    item->variant_ci95_low = value - half * 0.7;
    item->variant_ci95_high = value + half * 0.7;
    item->reference_ci95_low = reference - half * 0.7;
    item->reference_ci95_high = reference + half * 0.7;
    item->difference_db = value - reference;
    item->ci95_low_db = item->difference_db - half;
    item->ci95_high_db = item->difference_db + half;
    item->repeat_spread_db = half / 3;
    item->variant_run_count = 8;
    item->reference_run_count = 7;
    item->verdict = item->ci95_high_db < 0 ? COMPARE_QUIETER : item->ci95_low_db > 0 ? COMPARE_LOUDER : COMPARE_UNCLEAR;
    snprintf(item->basis, sizeof item->basis, "line fit");
    words_of_comparison(item, item->words, sizeof item->words);
    return item;
}

static void compare_bands(struct comparisons *out, double at, size_t variant, const struct bands *bands)
{
    for (size_t i = 0; i < bands->count; i++) {
        double hz = bands->items[i].exact_hz;
        struct comparison *item = compare(out, "third_octave_db", at, variant, fixture_band_db(variant, at, hz),
                                          fixture_band_db(0, at, hz), 1.6);
        item->band_hz = bands->items[i].nominal_hz;
        item->survives_many_bands = fabs(item->difference_db) > 2.8;
        if (i < 2)
            item->variant_ci95_low = item->ci95_low_db = -INFINITY;
    }
}

static void contribute(struct comparisons *out, double at, size_t variant, const struct bands *bands)
{
    static const char *const parts[] = { "blade tones", "other tones", "broadband" };
    double whole = fixture_level_db(variant, at) - fixture_level_db(0, at), sum = 0;
    double shares[3] = { variant == 2 ? 0.75 : 0.6, variant == 2 ? -0.05 : 0.02, 0 };
    shares[2] = 1 - shares[0] - shares[1];
    out->contributions =
        realloc(out->contributions, (out->contribution_count + bands->count + 3) * sizeof *out->contributions);
    for (size_t i = 0; i < bands->count; i++)
        sum += db_to_power_ratio(fixture_band_db(0, at, bands->items[i].exact_hz) / 2);
    for (size_t i = 0; i < bands->count + 3; i++) {
        struct contribution *item = &out->contributions[out->contribution_count++];
        *item = (struct contribution){ .at = OPERATING_THRUST_N, .value = at, .band_hz = ABSENT };
        snprintf(item->variant, sizeof item->variant, "%s", fixture_laws[variant].name);
        if (i < bands->count) {
            item->band_hz = bands->items[i].nominal_hz;
            char number[32];
            num_format(number, sizeof number, item->band_hz, item->band_hz < 100 ? 1 : 0);
            snprintf(item->part, sizeof item->part, "%s Hz", number);
            item->share_db = whole * db_to_power_ratio(fixture_band_db(0, at, bands->items[i].exact_hz) / 2) / sum;
        } else {
            snprintf(item->part, sizeof item->part, "%s", parts[i - bands->count]);
            item->share_db = whole * shares[i - bands->count];
        }
    }
}

static void make_curve(struct results *results, size_t variant)
{
    struct comparisons *out = &results->comparisons;
    struct curve *curve = &out->curves[out->curve_count++];
    *curve = (struct curve){ .at = OPERATING_THRUST_N,
                             .residual_db = 0.31,
                             .slope_db_per_decade = fixture_laws[variant].slope_db };
    curve->slope_ci95_low = curve->slope_db_per_decade - 2.2;
    curve->slope_ci95_high = curve->slope_db_per_decade + 2.2;
    snprintf(curve->quantity, sizeof curve->quantity, "LAeq_db");
    snprintf(curve->basis, sizeof curve->basis, "line fit");
    snprintf(curve->variant, sizeof curve->variant, "%s", fixture_laws[variant].name);
    curve->points = memory_new(results->run_count, sizeof *curve->points);
    for (size_t i = 0; i < results->run_count; i++) {
        const struct run_result *run = &results->runs[i];
        if (strcmp(run->variant, curve->variant) != 0 || run_result_verdict(run) == SEVERITY_UNUSABLE)
            continue;
        curve->points[curve->point_count++] =
            (struct curve_point){ run->thrust_n, run->at_reference.laeq_db, run_result_verdict(run) != SEVERITY_NOTE,
                                  run->at_reference.is_upper_bound };
    }
    curve->fit = memory_new(40, sizeof *curve->fit);
    for (int i = 0; i < 40; i++) {
        double at = 2.0 + 3.6 * i / 39, half = 0.3 + 0.12 * fabs(at - 3.6);
        double level = fixture_level_db(variant, at) + (results->is_absolute ? 0 : -121.4);
        curve->fit[curve->fit_count++] = (struct fit_point){ at, level, level - half, level + half };
    }
}

static void make_budget(struct comparisons *out)
{
    static const struct {
        const char *component;
        double standard_db, freedom;
        bool cancels;
    } rows[] = {
        { "scatter of repeats about the fits", 0.28, 11, false },
        { "background correction", 0.05, INFINITY, false },
        { "distance of the microphone, the same for both", 0.12, INFINITY, true },
        { "calibration, the same gain for both", 0.2, INFINITY, true },
    };
    out->budget = memory_new(8, sizeof *out->budget);
    for (size_t v = 1; v <= 2; v++)
        for (size_t i = 0; i < 4; i++) {
            struct budget_line *line = &out->budget[out->budget_count++];
            *line = (struct budget_line){ .at = OPERATING_THRUST_N,
                                          .value = 3.5,
                                          .standard_db = rows[i].standard_db,
                                          .degrees_of_freedom = rows[i].freedom,
                                          .cancels = rows[i].cancels };
            snprintf(line->variant, sizeof line->variant, "%s", fixture_laws[v].name);
            snprintf(line->component, sizeof line->component, "%s", rows[i].component);
        }
}

static void make_equal_levels(struct comparisons *out)
{
    out->equal_levels = memory_new(VARIANT_COUNT, sizeof *out->equal_levels);
    for (size_t v = 0; v < VARIANT_COUNT; v++) {
        struct equal_level *item = &out->equal_levels[out->equal_level_count++];
        *item = (struct equal_level){ .at = OPERATING_THRUST_N, .level_db = 64 };
        snprintf(item->variant, sizeof item->variant, "%s", fixture_laws[v].name);
        item->value = 3 * pow(10, (64 - fixture_laws[v].level_db) / fixture_laws[v].slope_db);
        item->ci95_low = item->value * 0.96;
        item->ci95_high = item->value * 1.04;
        if (v == 0) {
            item->value = item->ci95_low = item->ci95_high = ABSENT;
            snprintf(item->reason, sizeof item->reason, "64 dB lies at the edge of what was measured (2.0 to 5.6 N)");
        }
    }
}

static struct what_if *add_what_if(struct comparisons *out, size_t variant, enum what_if_kind kind, const char *source,
                                   double share_pct)
{
    struct what_if *item = &out->what_ifs[out->what_if_count++];
    *item = (struct what_if){ .at = OPERATING_THRUST_N,
                              .value = 3.5,
                              .kind = kind,
                              .low_hz = ABSENT,
                              .high_hz = ABSENT,
                              .share_pct = share_pct,
                              .fall_db = -10 * log10(1 - share_pct / 100) };
    snprintf(item->variant, sizeof item->variant, "%s", fixture_laws[variant].name);
    snprintf(item->source, sizeof item->source, "%s", source);
    return item;
}

static void leave_prominent(struct what_if *item, const char *source)
{
    snprintf(item->prominent_left[item->prominent_left_count++], SOURCE_TEXT_MAX, "%s", source);
}

static void add_noise(struct comparisons *out, size_t variant, double share_pct, double low_hz, double high_hz)
{
    struct what_if *noise = add_what_if(out, variant, WHAT_IF_BROADBAND, "broadband", share_pct);
    struct what_if *bands = add_what_if(out, variant, WHAT_IF_MAIN_BANDS, "broadband", share_pct * 0.6);
    bands->low_hz = low_hz;
    bands->high_hz = high_hz;
    if (variant == 1)
        return;
    leave_prominent(noise, variant == 0 ? "blade" : "belt");
    leave_prominent(bands, variant == 0 ? "blade" : "belt");
}

/* By the shares of the runs: stock2's blades carry more than half, swept3 has no prominent tone, slow5's noise carries
 * most and its belt alone is prominent. */
void fixture_what_ifs(struct comparisons *out)
{
    out->what_ifs = memory_new(16, sizeof *out->what_ifs);
    add_what_if(out, 0, WHAT_IF_TONES, "blade", 58)->is_prominent = true;
    add_noise(out, 0, 38, 800, 1600);
    leave_prominent(add_what_if(out, 0, WHAT_IF_TONES, "mains", 3), "blade");
    leave_prominent(add_what_if(out, 0, WHAT_IF_TONES, "unexplained", 1), "blade");
    add_noise(out, 1, 49, 1000, 1000);
    add_what_if(out, 1, WHAT_IF_TONES, "blade", 47);
    add_what_if(out, 1, WHAT_IF_TONES, "bearing front", 2);
    add_what_if(out, 1, WHAT_IF_TONES, "unexplained", 2);
    add_noise(out, 2, 58, 2000, 4000);
    leave_prominent(add_what_if(out, 2, WHAT_IF_TONES, "blade", 22), "belt");
    add_what_if(out, 2, WHAT_IF_TONES, "belt", 19)->is_prominent = true;
    leave_prominent(add_what_if(out, 2, WHAT_IF_TONES, "unexplained", 1), "belt");
}

void fixture_comparisons(struct results *results, bool is_absolute)
{
    static const struct {
        const char *quantity;
        double base, step, half;
    } hearing[] = { { "loudness_n5_sone", 9.6, -2.2, 0.3 }, { "loudness_stationary_sone", 9.1, -2.1, 0.3 },
                    { "sharpness_acum", 1.5, -0.2, 0.05 },  { "roughness_asper", 0.42, -0.1, 0.06 },
                    { "fluctuation_vacil", 0.11, 0, 0.02 }, { "annoyance", 11.5, -2.6, 0.6 },
                    { "annoyance_tonal", 14.4, -3, 0.8 },   { "audibility_db", 9.2, -1, 1.2 } };
    struct comparisons *out = &results->comparisons;
    const struct bands *bands = &results->runs[0].figures.third_octave;
    double offset = is_absolute ? 0 : -121.4;
    for (size_t p = 0; p < 3; p++)
        for (size_t v = 1; v <= 2; v++) {
            double at = points_n[p];
            compare(out, "LAeq_db", at, v, fixture_level_db(v, at) + offset, fixture_level_db(0, at) + offset,
                    v == 1 && p == 0 ? 4.5 : 0.9);
            compare(out, "blade_tone_db", at, v, fixture_level_db(v, at) - 4 + offset,
                    fixture_level_db(0, at) + 2 + offset, 1.4);
            if (!is_absolute)
                continue;
            compare_bands(out, at, v, bands);
            for (size_t i = 0; i < sizeof hearing / sizeof *hearing; i++)
                compare(out, hearing[i].quantity, at, v, hearing[i].base + hearing[i].step * (double)v, hearing[i].base,
                        hearing[i].half);
            contribute(out, at, v, bands);
        }
    struct comparison *refused = compare(out, "LAeq_db", 4200, 2, ABSENT, ABSENT, ABSENT);
    refused->at = OPERATING_RPM;
    refused->verdict = COMPARE_REFUSED;
    snprintf(refused->reason, sizeof refused->reason, "slow5 was measured from 2160 to 3620 rpm only");
    words_of_comparison(refused, refused->words, sizeof refused->words);
    out->curves = memory_new(VARIANT_COUNT, sizeof *out->curves);
    for (size_t v = 0; v < VARIANT_COUNT; v++)
        make_curve(results, v);
    fixture_what_ifs(out);
    if (!is_absolute)
        return;
    make_budget(out);
    make_equal_levels(out);
    out->remarks = memory_new(2, sizeof *out->remarks);
    out->remark_count = 2;
    out->remarks[0] = memory_copy_text("stock2-3000-b.wav is unusable and was left out.");
    out->remarks[1] =
        memory_copy_text("Without the two doubtful runs slow5 is quieter by 7.9 dB at 3.5 N instead of 7.8 dB.");
}
