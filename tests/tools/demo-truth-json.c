/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The writing of truth.json, apart from the figures in it. */
#include "base/num.h"
#include "base/units.h"
#include "demo-truth.h"

#include <math.h>

static void add_number(struct text *json, const char *name, double value, int decimals)
{
    char number[64];
    text_addf(json, "\"%s\": %s", name, num_format(number, sizeof number, value, decimals));
}

static void add_levels(struct text *json, const struct demo_levels *levels)
{
    const struct {
        const char *name;
        const struct demo_level *level;
    } items[] = { { "LAeq_db", &levels->laeq }, { "LCeq_db", &levels->lceq }, { "LZeq_db", &levels->lzeq } };
    for (size_t i = 0; i < sizeof items / sizeof items[0]; i++) {
        text_addf(json, "%s\"%s\": {", i == 0 ? "{" : ", ", items[i].name);
        add_number(json, "level_db", items[i].level->db, 4);
        text_add(json, ", ");
        add_number(json, "noise_bandwidth_hz", items[i].level->noise_bandwidth_hz, 1);
        text_add(json, "}");
    }
    text_add(json, "}");
}

static void add_bands(struct text *json, const struct demo_band bands[DEMO_BAND_COUNT])
{
    for (int i = 0; i < DEMO_BAND_COUNT; i++) {
        text_add(json, i == 0 ? "[\n      {" : ",\n      {");
        add_number(json, "exact_hz", bands[i].exact_hz, 4);
        text_add(json, ", ");
        add_number(json, "inside_db", bands[i].inside_db, 3);
        text_add(json, ", ");
        add_number(json, "filtered_db", bands[i].filtered.db, 3);
        text_add(json, ", ");
        add_number(json, "noise_bandwidth_hz", bands[i].filtered.noise_bandwidth_hz, 2);
        text_add(json, ", ");
        add_number(json, "class1_low_db", bands[i].class1_low_db, 3);
        text_add(json, ", ");
        add_number(json, "class1_high_db", bands[i].class1_high_db, 3);
        text_add(json, "}");
    }
    text_add(json, "]");
}

/* Height of a tone over the rotor's noise in the critical band around it, whose width is Zwicker and Terhardt's formula
 * (ECMA-418-1, 6). From the law, not from the samples. */
static double height_db(const struct demo_tone *tone, const struct demo_haystack noise[DEMO_NOISES])
{
    double khz = tone->hz / 1000;
    double width_hz = 25 + 75 * pow(1 + 1.4 * khz * khz, 0.69);
    return tone->level_db - pa2_to_db(demo_density_pa2_hz(noise, DEMO_NOISES, tone->hz) * width_hz);
}

static void add_tones(struct text *json, const struct demo_run *run, const struct demo_made *made)
{
    struct demo_haystack noise[DEMO_NOISES];
    demo_noise_at(&demo_variants[run->variant], run->true_rpm, made->scatter_db, noise);
    text_add(json, "[");
    for (size_t i = 0; i < made->tone_count; i++) {
        const struct demo_tone *tone = &made->tones[i];
        text_addf(json, "%s\n      {\"source\": \"%s\", ", i == 0 ? "" : ",", tone->source);
        add_number(json, "hz", tone->hz, 4);
        text_add(json, ", ");
        add_number(json, "level_db", tone->level_db, 3);
        text_add(json, ", ");
        add_number(json, "above_noise_db", height_db(tone, noise), 2);
        text_add(json, "}");
    }
    text_add(json, "]");
}

/* What the samples hold. */
static bool add_measured(struct text *json, const struct demo_made *made, struct err *err)
{
    struct demo_levels levels;
    struct demo_band bands[DEMO_BAND_COUNT];
    if (!demo_measure(made, &levels, bands, err))
        return false;
    text_add(json, "\"levels\": ");
    add_levels(json, &levels);
    text_add(json, ",\n     \"third_octave\": ");
    add_bands(json, bands);
    text_add(json, "}");
    return true;
}

void demo_truth_begin(struct text *json)
{
    text_add(json,
             "{\n  \"about\": \"What make-demo built into the recordings beside this file; all invented. Levels are "
             "dB re 20 uPa at the microphone, over one period of the steady part.\",\n  ");
    add_number(json, "period_s", DEMO_PERIOD_S, 0);
    text_add(json, ", ");
    add_number(json, "fade_s", DEMO_FADE_S, 1);
    text_add(json, ",\n  \"marked_s\": [");
    char number[2][32];
    text_addf(json, "%s, %s],\n  \"runs\": [", num_format(number[0], sizeof number[0], DEMO_START_S, 1),
              num_format(number[1], sizeof number[1], DEMO_END_S, 1));
}

bool demo_truth_run(struct text *json, size_t index, const struct demo_made *made, struct err *err)
{
    const struct demo_run *run = &demo_runs[index];
    text_addf(json, "%s\n    {\"file\": \"%s\", \"variant\": \"%s\", \"fault\": \"%s\", \"is_marked\": %s,\n     ",
              index == 0 ? "" : ",", run->file, demo_variants[run->variant].name, demo_fault_key(run->fault),
              run->is_marked ? "true" : "false");
    add_number(json, "true_rpm", run->true_rpm, 5);
    text_add(json, ", ");
    add_number(json, "logged_rpm", run->logged_rpm, 0);
    text_add(json, ", ");
    add_number(json, "gain_db", made->gain_db, 2);
    text_add(json, ", ");
    add_number(json, "scatter_db", made->scatter_db, 3);
    text_addf(json, ", \"clipped_frames\": %llu,\n     \"tones\": ", (unsigned long long)made->clipped_frames);
    add_tones(json, run, made);
    if (run->fault == DEMO_CLIPPED) {
        text_add(json, "}");
        return true;
    }
    text_add(json, ",\n     ");
    return add_measured(json, made, err);
}

static void add_laws(struct text *json)
{
    static const double thrusts_n[] = { 2, 3, 4 };
    text_add(json, "\n  ],\n  \"equal_thrust\": [");
    for (size_t i = 0; i < sizeof thrusts_n / sizeof thrusts_n[0]; i++)
        for (size_t v = 0; v < demo_variant_count; v++) {
            const struct demo_variant *variant = &demo_variants[v];
            double rpm = demo_rpm_of_thrust(variant, thrusts_n[i]), level_db = demo_law_laeq_db(variant, rpm);
            double reference_db =
                demo_law_laeq_db(&demo_variants[0], demo_rpm_of_thrust(&demo_variants[0], thrusts_n[i]));
            text_addf(json, "%s\n    {\"variant\": \"%s\", ", i + v == 0 ? "" : ",", variant->name);
            add_number(json, "thrust_n", thrusts_n[i], 1);
            text_add(json, ", ");
            add_number(json, "rpm", rpm, 2);
            text_add(json, ", ");
            add_number(json, "LAeq_db", level_db, 3);
            text_add(json, ", ");
            add_number(json, "difference_db", level_db - reference_db, 3);
            text_add(json, "}");
        }
    text_add(json, "\n  ],\n");
}

bool demo_truth_end(struct text *json, const struct demo_made *background, struct err *err)
{
    add_laws(json);
    text_add(json, "  \"calibration\": {");
    add_number(json, "full_scale_sine_db", DEMO_FULL_SCALE_SINE_DB, 2);
    text_add(json, ", ");
    add_number(json, "level_db", DEMO_CALIBRATOR_DB, 1);
    text_add(json, ", ");
    add_number(json, "drift_db", DEMO_GAIN_AFTER_DB - DEMO_GAIN_BEFORE_DB, 3);
    text_add(json, "},\n  \"background\": {");
    if (!add_measured(json, background, err))
        return false;
    text_add(json, "\n}\n");
    return true;
}
