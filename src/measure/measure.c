/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/measure.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/text.h"
#include "base/units.h"
#include "measure/meter_run.h"
#include "measure/trace.h"
#include "meters/ground.h"
#include "meters/meter_list.h"
#include "recording/pressure.h"
#include "recording/survey.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void measure_request_init(struct measure_request *request)
{
    *request = (struct measure_request){
        .distance_m = ABSENT,
        .reference_distance_m = ABSENT,
        .height_m = ABSENT,
        .source_height_m = ABSENT,
        .air = { ABSENT, ABSENT, ABSENT, ABSENT },
        .log = { .rpm = ABSENT,
                 .rpm_tolerance_pct = ABSENT,
                 .motor_rpm = ABSENT,
                 .voltage_v = ABSENT,
                 .tach_channel = -1,
                 .tach_pulses_per_rev = ABSENT },
        .start_s = ABSENT,
        .end_s = ABSENT,
        .bands_per_octave = 3,
    };
}

/* What is wrong with a recording is a figure of it, not a failure of the program. */
static void tell_unmeasured(struct run_result *out, const struct err *why)
{
    text_fit(out->error, sizeof out->error, "%s", why->text);
    findings_add(&out->findings, "unreadable", SEVERITY_UNUSABLE, ABSENT, "could not be measured: %s", why->text);
}

static double expected_blade_hz(const struct measure_request *request)
{
    return request->variant ? rpm_to_hz(request->log.rpm) * request->variant->blades : ABSENT;
}

static bool survey(const struct measure_request *request, struct recording *recording, struct run_result *out,
                   struct err *err)
{
    struct survey found;
    struct survey_request wanted = { .channel = request->channel,
                                     .start_s = request->start_s,
                                     .end_s = request->end_s,
                                     .gain = request->gain,
                                     .expected_blade_hz = expected_blade_hz(request),
                                     .lowest_band_hz = 20 };
    if (!survey_recording(recording, &wanted, &found, &out->findings, err))
        return false;
    out->duration_s = found.duration_s;
    out->used_start_s = found.used_start_s;
    out->used_end_s = found.used_end_s;
    snprintf(out->used_reason, sizeof out->used_reason, "%s", found.used_reason);
    return true;
}

static bool all_meters(const struct measure_request *request, struct pressure *pressure, struct figures *figures,
                       struct err *err)
{
    const size_t count = level_meter_count + hearing_meter_count;
    const struct meter_kind **kinds = memory_new(count, sizeof *kinds);
    if (!kinds)
        return err_memory(err);
    for (size_t i = 0; i < count; i++)
        kinds[i] = i < level_meter_count ? level_meters[i] : hearing_meters[i - level_meter_count];
    struct meter_setup setup = { .is_absolute = request->gain.is_absolute,
                                 .bands_per_octave = request->bands_per_octave,
                                 .is_diffuse = request->is_diffuse,
                                 .expected_blade_hz = expected_blade_hz(request) };
    bool ok = meter_run(kinds, count, &setup, pressure, figures, err);
    free(kinds);
    return ok;
}

/* Near field and ground reflection, where the campaign tells distances and heights. */
static void judge_place(const struct measure_request *request, struct run_result *out)
{
    const struct variant *variant = request->variant;
    double rpm = is_given(out->rotor.rpm_measured) ? out->rotor.rpm_measured : request->log.rpm;
    const struct place_of_microphone place = { .distance_m = request->distance_m,
                                               .height_m = request->height_m,
                                               .source_height_m = request->source_height_m,
                                               .diameter_m = variant ? mm_to_m(variant->diameter_mm) : ABSENT,
                                               .blade_hz = variant ? rpm_to_hz(rpm) * variant->blades : ABSENT,
                                               .temperature_c = request->air.temperature_c };
    ground_find(&place, &out->findings);
}

static bool explain(const struct measure_request *request, struct pressure *pressure, struct run_result *out,
                    struct err *err)
{
    struct figures *figures = &out->figures;
    if (!rotor_explain(request->variant, &request->log, figures, pressure, &out->rotor, &out->findings, err) ||
        !tonality_rate(&figures->spectrum, request->gain.is_absolute, &out->rotor, &out->tonality, err) ||
        !trace_of_spectrum(&figures->spectrum, &out->trace, err))
        return false;
    annoyance_fill(&figures->hearing, &out->tonality);
    const char *why = hearing_absent_reason(out->is_absolute, out->sample_rate_hz, out->used_end_s - out->used_start_s);
    if (why)
        findings_add(&out->findings, "hearing-absent", SEVERITY_NOTE, ABSENT, "%s", why);
    if (out->is_absolute && figures->spectrum.count > 0 && !is_given(out->tonality.aures_tu))
        findings_add(
            &out->findings, "hearing-absent", SEVERITY_NOTE, ABSENT,
            "the sample rate is below 22.44 kHz and does not hold the spectrum up to 11.22 kHz: no tonality of "
            "the whole sound");
    if (figures->hearing.loudness_stationary_sone == 0)
        findings_add(&out->findings, "hearing-absent", SEVERITY_NOTE, ABSENT,
                     "nothing lies above the threshold of hearing: 0 sone, and no sharpness");
    free(figures->spectrum.pa2);
    figures->spectrum.pa2 = NULL;
    judge_place(request, out);
    struct reference_conditions conditions = { .distance_m = request->distance_m,
                                               .reference_distance_m = request->reference_distance_m,
                                               .air = request->air,
                                               .background = request->background };
    return at_reference_compute(figures, &conditions, &out->at_reference, &out->findings, err);
}

/* A survey's verdict that leaves nothing to measure: the finding that says so, or NULL. */
static const struct finding *hopeless(const struct run_result *out)
{
    for (size_t i = 0; i < out->findings.count; i++) {
        const struct finding *finding = &out->findings.items[i];
        if (finding->severity == SEVERITY_UNUSABLE &&
            (strcmp(finding->code, "non-finite") == 0 || strcmp(finding->code, "silence") == 0))
            return finding;
    }
    return NULL;
}

static bool measure_open(const struct measure_request *request, struct recording *recording, struct run_result *out,
                         struct err *err)
{
    out->sample_rate_hz = recording_info(recording)->sample_rate_hz;
    if (!survey(request, recording, out, err))
        return false;
    const struct finding *fatal = hopeless(out);
    if (fatal || !(out->used_end_s > out->used_start_s)) {
        text_fit(out->error, sizeof out->error, "%s", fatal ? fatal->text : "nothing of it can be used");
        return true;
    }
    struct pressure pressure =
        pressure_of(recording, request->channel, request->gain.pa_per_full_scale, out->used_start_s, out->used_end_s);
    return all_meters(request, &pressure, &out->figures, err) && explain(request, &pressure, out, err);
}

static bool is_log_refuted(const struct run_result *run)
{
    for (size_t i = 0; i < run->rotor.blade_passage_count; i++)
        if (run->rotor.blade_passages[i].verdict == BLADE_SHIFTED)
            return true;
    return false;
}

/* That of the logged speed; where the sound refutes the log, or there is none, of the speed heard. */
static void fill_tip_speed(const struct measure_request *request, struct run_result *out)
{
    bool has_log = is_given(request->log.rpm) && !is_log_refuted(out);
    if (request->variant)
        out->tip_speed_m_s =
            variant_tip_speed_m_s(request->variant, has_log ? request->log.rpm : out->rotor.rpm_measured);
}

bool measure_recording(const struct measure_request *request, struct run_result *out, struct err *err)
{
    out->is_absolute = request->gain.is_absolute;
    out->full_scale_sine_db = request->gain.is_absolute ? request->gain.full_scale_sine_db : ABSENT;
    out->gain_uncertainty_db = request->gain.standard_uncertainty_db;
    out->gain_drift_db = request->gain.drift_db;
    snprintf(out->gain_source, sizeof out->gain_source, "%s", request->gain.source);
    const struct findings *about_gain = request->gain_findings;
    for (size_t i = 0; about_gain && i < about_gain->count; i++) {
        const struct finding *finding = &about_gain->items[i];
        findings_add(&out->findings, finding->code, finding->severity, finding->band_hz, "%s", finding->text);
    }
    struct err why;
    struct recording *recording = recording_open(request->path, &why);
    bool ok = recording != NULL;
    if (ok && request->channel >= recording_info(recording)->channel_count)
        ok = err_file(&why, ERR_AUDIO, request->path, "has no channel %d, only %d; see channel in the run log",
                      request->channel + 1, recording_info(recording)->channel_count);
    ok = ok && measure_open(request, recording, out, &why);
    recording_free(recording);
    if (!ok && (why.kind == ERR_MEMORY || why.kind == ERR_INTERNAL)) {
        *err = why;
        return false;
    }
    if (!ok)
        tell_unmeasured(out, &why);
    fill_tip_speed(request, out);
    return !out->findings.failed || err_memory(err);
}
