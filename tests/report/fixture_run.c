/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "base/memory.h"
#include "base/num.h"
#include "base/units.h"
#include "fixture.h"
#include "fixture_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

double fixture_level_db(size_t variant, double thrust_n)
{
    const struct law *law = &fixture_laws[variant];
    return law->level_db + law->slope_db * log10(thrust_n / 3);
}

static double blade_hz(size_t variant, double thrust_n)
{
    const struct law *law = &fixture_laws[variant];
    return rpm_to_hz(law->rpm * sqrt(thrust_n / 3)) * law->blades;
}

static double hump_db(size_t variant, double thrust_n, double hz)
{
    double middle = 900 * sqrt(thrust_n / 3) * (variant == 2 ? 0.7 : variant == 1 ? 1.3 : 1.0);
    double octaves = log2(hz / middle);
    return fixture_level_db(variant, thrust_n) - 8 - 2.6 * octaves * octaves;
}

/* A hump of broadband noise and the blade tone in its band. */
double fixture_band_db(size_t variant, double thrust_n, double hz)
{
    double level = hump_db(variant, thrust_n, hz);
    double distance = fabs(log2(hz / blade_hz(variant, thrust_n)));
    if (distance < 1.0 / 6)
        level = pa2_to_db(db_to_pa2(level) + db_to_pa2(fixture_level_db(variant, thrust_n) + 2));
    return fmax(level, 12);
}

static void make_bands(struct run_result *run, size_t variant, double thrust_n, double offset_db)
{
    static const double nominal[10] = { 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8 };
    const size_t count = 31;
    struct bands *bands = &run->figures.third_octave;
    bands->per_octave = 3;
    bands->count = count;
    bands->items = memory_new(count, sizeof *bands->items);
    run->at_reference.bands = memory_new(count, sizeof *run->at_reference.bands);
    run->at_reference.band_count = count;
    for (size_t i = 0; i < count; i++) {
        int index = (int)i - 17;
        struct band *band = &bands->items[i];
        band->index = index;
        band->exact_hz = 1000 * db_to_power_ratio(index);
        band->nominal_hz = num_round(nominal[(index + 30) % 10] * db_to_power_ratio(10 * ((index + 30) / 10)), 3);
        band->low_hz = band->exact_hz * db_to_power_ratio(-0.5);
        band->high_hz = band->exact_hz * db_to_power_ratio(0.5);
        band->level_db = fixture_band_db(variant, thrust_n, band->exact_hz) + offset_db;
        band->fmax_db = band->level_db + 3;
        band->smax_db = band->level_db + 1.5;
        struct band_at_reference *at = &run->at_reference.bands[i];
        at->background_db = 34 - 0.8 * (double)i + offset_db;
        at->level_db = band->level_db;
        at->is_upper_bound = band->level_db - at->background_db < 6;
    }
}

static struct tone tone_of(double hz, double level_db, const char *source, double order)
{
    struct tone tone = {
        .hz = hz, .level_db = level_db, .above_noise_db = 24, .bandwidth_hz = 1.5, .expected_hz = hz * 1.0002
    };
    snprintf(tone.source, sizeof tone.source, "%s", source);
    tone.shaft_order = order;
    tone.tone_to_noise_db = 12.5;
    tone.prominence_db = 11.2;
    tone.audibility_db = 5.1;
    tone.is_prominent = level_db > 50;
    return tone;
}

static void make_tones(struct run_result *run, size_t variant, double thrust_n, double offset_db)
{
    struct rotor_figures *rotor = &run->rotor;
    double first = blade_hz(variant, thrust_n), level = fixture_level_db(variant, thrust_n) + offset_db;
    rotor->tones = memory_new(10, sizeof *rotor->tones);
    rotor->blade_passages = memory_new(6, sizeof *rotor->blade_passages);
    for (int n = 1; n <= 6; n++) {
        char source[SOURCE_TEXT_MAX];
        snprintf(source, sizeof source, "blade %d", n);
        bool is_there = n <= 5 - (int)variant;
        double tone_db = level + 2 - 6.5 * (n - 1) - 3 * (double)variant;
        if (is_there)
            rotor->tones[rotor->tone_count++] = tone_of(first * n, tone_db, source, n * fixture_laws[variant].blades);
        rotor->blade_passages[rotor->blade_passage_count++] = (struct blade_passage){
            n,
            first * n,
            first * n * 0.02,
            is_there ? first * n * 1.0003 : ABSENT,
            is_there ? tone_db : ABSENT,
            is_there ? 24 - 2.0 * n : ABSENT,
            is_there ? BLADE_AGREES : BLADE_ABSENT,
        };
    }
    if (variant == 2) {
        struct tone belt = tone_of(rpm_to_hz(run->rotor.rpm_measured) * 60, level - 5, "belt mesh 1", 60);
        snprintf(belt.alternatives[belt.alternative_count++], SOURCE_TEXT_MAX, "motor shaft 12");
        rotor->tones[rotor->tone_count++] = belt;
    }
    struct tone unknown = tone_of(3411.7, level - 19, "unexplained", ABSENT);
    unknown.expected_hz = unknown.tone_to_noise_db = ABSENT;
    snprintf(unknown.remark, sizeof unknown.remark, "nearest: shaft order 48.74");
    rotor->tones[rotor->tone_count++] = unknown;
    rotor->shares = variant == 0   ? (struct shares){ 58, 3, 1, 38 }
                    : variant == 1 ? (struct shares){ 41, 2, 2, 55 }
                                   : (struct shares){ 22, 19, 1, 58 };
}

static void make_trace(struct run_result *run, size_t variant, double thrust_n, unsigned seed, double offset_db)
{
    struct trace *trace = &run->trace;
    trace->first_hz = 20;
    trace->line_hz = 1.1;
    trace->count = 957;
    trace->level_db = memory_new(trace->count, sizeof *trace->level_db);
    for (size_t i = 0; i < trace->count; i++) {
        double hz = trace_hz(trace, i);
        double level = hump_db(variant, thrust_n, hz) - power_ratio_to_db(0.23 * hz) + 6;
        level += 2.2 * fixture_scatter(seed * 1000 + (unsigned)i);
        for (size_t t = 0; t < run->rotor.tone_count; t++)
            if (fabs(log2(hz / run->rotor.tones[t].hz)) < 0.6 / TRACE_PER_OCTAVE)
                level = fmax(level + offset_db, run->rotor.tones[t].level_db) - offset_db;
        trace->level_db[i] = i == 0 ? ABSENT : fmax(level, -4) + offset_db;
    }
}

static void make_hearing(struct run_result *run, size_t variant, double level_db, unsigned seed)
{
    struct hearing_figures *hearing = &run->figures.hearing;
    double sone = db_to_power_ratio((level_db - 40) * 0.301) * (variant == 2 ? 0.9 : 1);
    hearing->loudness_stationary_sone = sone;
    hearing->loudness_mean_sone = sone * 1.01;
    hearing->loudness_max_sone = sone * 1.15;
    hearing->loudness_n5_sone = sone * (1.06 + 0.01 * fixture_scatter(seed));
    hearing->loudness_n10_sone = sone * 1.04;
    hearing->loudness_level_phon = 40 + 10 * log2(sone);
    hearing->sharpness_acum = 1.5 - 0.2 * (double)variant;
    hearing->roughness_asper = 0.42 - 0.1 * (double)variant;
    hearing->fluctuation_vacil = variant == 2 ? ABSENT : 0.11;
    hearing->annoyance = sone * 1.2;
    hearing->annoyance_tonal = sone * 1.5;
    for (int i = 0; i < SPECIFIC_LOUDNESS_COUNT; i++) {
        double bark = 0.1 * (i + 1), hump = (bark - 9 + 1.5 * (double)variant) / 5;
        hearing->specific_sone_bark[i] =
            sone / 14 * exp(-hump * hump) + (fabs(bark - 2 - (double)variant) < 0.6 ? sone / 30 : 0);
    }
    hearing->loudness_count = 140;
    hearing->loudness_step_s = 0.05;
    hearing->loudness_sone = memory_new(hearing->loudness_count, sizeof *hearing->loudness_sone);
    for (size_t i = 0; i < hearing->loudness_count; i++)
        hearing->loudness_sone[i] = sone * (1 + 0.05 * fixture_scatter(seed * 100 + (unsigned)i));
    run->tonality.audibility_db = 9.2 - (double)variant;
    run->tonality.audibility_uncertainty_db = 0.6;
    run->tonality.adjustment_db = 5 - (int)variant;
    run->tonality.decisive_hz = variant == 2 ? rpm_to_hz(run->rotor.rpm_measured) * 60 : run->rotor.tones[0].hz;
    snprintf(run->tonality.decisive_source, SOURCE_TEXT_MAX, "%s", variant == 2 ? "belt mesh 1" : "blade 1");
    run->tonality.is_prominent = variant != 1;
    run->tonality.prominent_hz = ABSENT;
    if (variant == 1)
        return;
    run->tonality.prominent_hz = round(run->tonality.decisive_hz);
    snprintf(run->tonality.prominent_source, SOURCE_TEXT_MAX, "%s", run->tonality.decisive_source);
    snprintf(run->tonality.criterion, sizeof run->tonality.criterion, "tone-to-noise ratio above 8 dB + slope");
}

static void make_levels(struct run_result *run, double laeq)
{
    run->figures.levels = (struct levels){ laeq,      laeq + 3.2, laeq + 3.9, laeq + 1.1, laeq - 1.2, laeq + 0.5,
                                           laeq + 17, laeq + 8.5, laeq + 0.5, laeq,       laeq - 0.6 };
    run->at_reference.laeq_db = laeq - 0.1;
    run->at_reference.background_correction_db = -0.1;
    run->at_reference.distance_correction_db = 0;
    run->at_reference.absorption_correction_db = 0;
}

void fixture_run(struct run_result *run, size_t variant, double thrust_n, unsigned seed, bool is_uncalibrated)
{
    const struct law *law = &fixture_laws[variant];
    double offset_db = is_uncalibrated ? -121.4 : 0;
    char name[64];
    run_result_init(run);
    snprintf(name, sizeof name, "%s-%.0f-%c.wav", law->name, thrust_n * 1000, seed % 2 == 0 ? 'a' : 'b');
    run->file = memory_copy_text(name);
    run->variant = memory_copy_text(law->name);
    run->microphone = memory_copy_text("main");
    run->sample_rate_hz = 48000;
    run->duration_s = 8;
    run->used_start_s = 0.5;
    run->used_end_s = 7.5;
    snprintf(run->used_reason, sizeof run->used_reason, "steady part");
    run->rpm_given = num_round(law->rpm * sqrt(thrust_n / 3) / 10, 0) * 10;
    run->rpm_tolerance_pct = 2;
    run->thrust_n = thrust_n + 0.02 * fixture_scatter(seed + 77);
    run->power_w = law->power_w * pow(thrust_n / 3, 1.5);
    run->rotor.rpm_measured = law->rpm * sqrt(thrust_n / 3);
    run->rotor.rpm_uncertainty = 1.1;
    snprintf(run->rotor.rpm_source, sizeof run->rotor.rpm_source, "sound");
    run->rotor.unevenness_db = -22.4;
    run->tip_speed_m_s = PI * law->diameter_mm * 1e-3 * rpm_to_hz(run->rotor.rpm_measured);
    run->is_absolute = !is_uncalibrated;
    run->full_scale_sine_db = is_uncalibrated ? ABSENT : 121.4;
    run->gain_drift_db = is_uncalibrated ? ABSENT : 0.12;
    run->gain_uncertainty_db = is_uncalibrated ? ABSENT : 0.2;
    snprintf(run->gain_source, sizeof run->gain_source, "%s",
             is_uncalibrated ? "no calibration" : "calibrator.wav: 94.0 dB at 1000.2 Hz reads -27.4 dBFS");
    double laeq = fixture_level_db(variant, thrust_n) + 0.35 * fixture_scatter(seed) + offset_db;
    make_levels(run, laeq);
    make_bands(run, variant, thrust_n, offset_db);
    run->figures.highest_hz = 20000;
    make_tones(run, variant, thrust_n, offset_db);
    make_trace(run, variant, thrust_n, seed, offset_db);
    if (!is_uncalibrated)
        make_hearing(run, variant, laeq, seed);
}

void fixture_run_failed(struct run_result *run)
{
    run_result_clear(run);
    run_result_init(run);
    run->file = memory_copy_text("stock2-lost <&> \xc3\xa9.wav");
    run->variant = memory_copy_text("stock2");
    run->microphone = memory_copy_text("main");
    snprintf(run->error, sizeof run->error, "stock2-lost.wav: holds no frame; record it again");
    findings_add(&run->findings, "unreadable", SEVERITY_UNUSABLE, ABSENT,
                 "The recording holds no frame; record it again or take its row out of the log.");
}

void fixture_remark(struct run_result *run, const char *sentence)
{
    size_t capacity = run->rotor.remark_count;
    void *remarks = run->rotor.remarks;
    if (!memory_grow(&remarks, &capacity, run->rotor.remark_count + 1, sizeof *run->rotor.remarks))
        abort();
    run->rotor.remarks = remarks;
    run->rotor.remarks[run->rotor.remark_count++] = memory_copy_text(sentence);
}

void fixture_findings(struct results *results)
{
    struct run_result *runs = results->runs;
    findings_add(&runs[3].findings, "clipped", SEVERITY_UNUSABLE, ABSENT,
                 "1204 frames lie at full scale, so peaks are cut and all levels are wrong; lower the gain and record "
                 "it again.");
    findings_add(&runs[5].findings, "low-snr", SEVERITY_DOUBTFUL, 25,
                 "The 25 Hz band is only 2.1 dB above the background; its level is at most this. Record in less wind.");
    findings_add(&runs[9].findings, "speed-shifted", SEVERITY_DOUBTFUL, ABSENT,
                 "The log says 4120 rpm, the blade tones say 3880 rpm; check the tachometer or correct the log.");
    findings_add(
        &runs[18].findings, "note", SEVERITY_NOTE, ABSENT,
        "The background was recorded 40 min before; record it again when the wind changes <script>alert(1)</script>.");
    runs[9].rotor.blade_passages[0].verdict = BLADE_SHIFTED;
    runs[7].at_reference.is_upper_bound = true;
    runs[1].notes = memory_new(1, sizeof *runs[1].notes);
    runs[1].note_count = 1;
    runs[1].notes[0].column = memory_copy_text("battery <cell>");
    runs[1].notes[0].value = memory_copy_text("4S, \"old\"");
    runs[1].note = memory_copy_text("a bittern called at 3 s, R\xc3\xb6hricht");
    fixture_remark(&runs[18], "Once-per-turn tones beside the blade tone: the blades are not alike; check pitch and "
                              "balance.");
    fixture_remark(&runs[18], "6 tones lie on half orders of the shaft: something may be loose or rub; check screws.");
    for (size_t i = 8; i < 16; i++)
        fixture_remark(&runs[i],
                       "Blades may be unequal, bent or unbalanced: the shaft's other orders lie 20.1 dB below.");
    for (size_t i = 16; i < 24; i++)
        fixture_remark(&runs[i], "Rotor and motor do not match the ratio 5.0000: the motor 15150 rev/min, 1.00 % off.");
}
