/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fixture.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "fixture_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const struct law fixture_laws[VARIANT_COUNT] = {
    { "stock2", "Two-blade stock", 2, 229, 68.0, 34, 4200, 43 },
    { "swept3",
      "Three-blade \"swept\" <tips> & Schilfrohr-S\xc3\xa4ge, second batch, printed at 0\xc2\xb0, \xe8\x91\xa6 wood", 3,
      231, 64.6, 32, 3800, 41 },
    { "slow5", "Five-blade, belt-driven", 5, 240, 60.3, 30, 2650, 46 },
};

static const double thrusts_n[POINT_COUNT] = { 2.0, 3.0, 4.2, 5.6 };

/* A repeatable scatter in [-1, 1]. */
double fixture_scatter(unsigned seed)
{
    unsigned value = seed * 2654435761U + 12345U;
    value ^= value >> 15;
    value *= 2246822519U;
    value ^= value >> 13;
    return (double)(value % 20001U) / 10000.0 - 1.0;
}

static void make_variants(struct campaign *campaign, size_t count)
{
    campaign->variants = memory_new(count, sizeof *campaign->variants);
    campaign->variant_count = count;
    for (size_t i = 0; i < count; i++) {
        struct variant *variant = &campaign->variants[i];
        variant->name = memory_copy_text(fixture_laws[i].name);
        variant->title = memory_copy_text(fixture_laws[i].title);
        variant->blades = fixture_laws[i].blades;
        variant->rotors = 1;
        variant->diameter_mm = fixture_laws[i].diameter_mm;
        variant->motor_pole_pairs = 7;
        variant->motor_slots = 12;
        variant->motor_pwm_hz = i == 0 ? 24000 : ABSENT;
        variant->motor_kv_rpm_v = variant->mains_hz = ABSENT;
        if (i == 2) {
            variant->drive = DRIVE_BELT;
            variant->motor_pulley_teeth = 12;
            variant->rotor_pulley_teeth = 60;
            variant->belt_teeth = 130;
            variant->struts = 3;
        }
    }
}

static void make_campaign(struct campaign *campaign, enum fixture_kind kind)
{
    campaign->title = memory_copy_text("Quiet rotor for the reed-bed drone <b>&amp; \"friends\"</b> \xe2\x80\x94 "
                                       "Wasserralle \xe3\x82\xaf\xe3\x82\xa4\xe3\x83\x8a");
    campaign->folder = memory_copy_text(".");
    campaign->date = memory_copy_text("2026-10-03");
    campaign->reference_distance_m = 1;
    campaign->air = (struct air){ 14, 70, 100.9, 1.2 };
    make_variants(campaign, kind == FIXTURE_ONE_VARIANT ? 1 : VARIANT_COUNT);
    campaign->microphones = memory_new(1, sizeof *campaign->microphones);
    campaign->microphone_count = 1;
    struct microphone *microphone = &campaign->microphones[0];
    microphone->name = memory_copy_text("main");
    microphone->distance_m = 1;
    microphone->angle_deg = 90;
    microphone->height_m = microphone->source_height_m = 1.2;
    microphone->background = memory_copy_text("background.wav");
    microphone->meter_class = 2;
    microphone->calibration = (struct calibration){ .level_db = 94,
                                                    .frequency_hz = 1000,
                                                    .full_scale_db = ABSENT,
                                                    .sensitivity_mv_pa = ABSENT,
                                                    .full_scale_v = ABSENT };
    microphone->calibration.kind = kind == FIXTURE_UNCALIBRATED ? CALIBRATION_NONE : CALIBRATION_RECORDING;
    if (kind != FIXTURE_UNCALIBRATED)
        microphone->calibration.file = memory_copy_text("calibrator.wav");
}

static void make_runs(struct results *results, enum fixture_kind kind)
{
    size_t variant_count = results->campaign->variant_count;
    results->run_count = variant_count * POINT_COUNT * REPEAT_COUNT + 1;
    results->runs = memory_new(results->run_count, sizeof *results->runs);
    size_t index = 0;
    for (size_t v = 0; v < variant_count; v++)
        for (size_t p = 0; p < POINT_COUNT; p++)
            for (size_t r = 0; r < REPEAT_COUNT; r++, index++) {
                struct run_result *run = &results->runs[index];
                fixture_run(run, v, thrusts_n[p], (unsigned)index, kind == FIXTURE_UNCALIBRATED);
                run->row = (int)index + 2;
                if (kind == FIXTURE_ALL_FAILED)
                    fixture_run_failed(run);
            }
    run_result_init(&results->runs[index]);
    fixture_run_failed(&results->runs[index]);
    results->runs[index].row = (int)index + 2;
    if (kind == FIXTURE_RICH)
        fixture_findings(results);
}

void fixture_make(struct fixture *fixture, enum fixture_kind kind)
{
    *fixture = (struct fixture){ 0 };
    make_campaign(&fixture->campaign, kind);
    fixture->results.campaign = &fixture->campaign;
    fixture->results.is_absolute = kind != FIXTURE_UNCALIBRATED;
    make_runs(&fixture->results, kind);
    if (kind == FIXTURE_RICH || kind == FIXTURE_UNCALIBRATED)
        fixture_comparisons(&fixture->results, kind == FIXTURE_RICH);
    if (kind == FIXTURE_ONE_VARIANT)
        fixture_what_ifs(&fixture->results.comparisons);
}

void fixture_clear(struct fixture *fixture)
{
    struct campaign *campaign = &fixture->campaign;
    for (size_t i = 0; i < fixture->results.run_count; i++)
        run_result_clear(&fixture->results.runs[i]);
    free(fixture->results.runs);
    comparisons_clear(&fixture->results.comparisons);
    for (size_t i = 0; i < campaign->variant_count; i++) {
        free(campaign->variants[i].name);
        free(campaign->variants[i].title);
    }
    free(campaign->variants);
    free(campaign->microphones[0].name);
    free(campaign->microphones[0].background);
    free(campaign->microphones[0].calibration.file);
    free(campaign->microphones);
    free(campaign->title);
    free(campaign->folder);
    free(campaign->date);
    *fixture = (struct fixture){ 0 };
}

void fixture_plain(const char *from, char *out, size_t size)
{
    size_t used = 0;
    for (; *from && used + 1 < size; from++) {
        bool is_kept = strncmp(from, "\xc2\xa0", 2) == 0;
        from += is_kept;
        out[used++] = is_kept ? ' ' : *from;
    }
    out[used] = '\0';
}
