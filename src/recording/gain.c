/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/gain.h"

#include "base/absent.h"
#include "base/files.h"
#include "base/num.h"
#include "base/text.h"
#include "base/units.h"

#include <stdio.h>
#include <stdlib.h>

/* Acceptance limits of the level, IEC 60942:2017 table 1 (class 1 from memory). */
#define CLASS_1_LEVEL_DB 0.25
#define CLASS_2_LEVEL_DB 0.40
/* Total distortion and noise of a class 2 calibrator, IEC 60942:2017 table 5. */
#define DISTORTION_MOST_PCT 3.0
#define NOISE_MOST_DB (-20.0) /* common practice: a coupler that sits well keeps the room this far away */
#define DRIFT_MOST_DB 0.5     /* common practice; ISO 3744:2010, from memory */

struct gain gain_of_full_scale(double full_scale_sine_db)
{
    bool is_absolute = is_given(full_scale_sine_db);
    struct gain gain = {
        /* The rms of a full-scale sine is 1/sqrt(2): without a calibration it shall read 0 dB. */
        .pa_per_full_scale = sqrt(2 * db_to_pa2(is_absolute ? full_scale_sine_db : 0)),
        .is_absolute = is_absolute,
        .full_scale_sine_db = is_absolute ? full_scale_sine_db : 0,
        .standard_uncertainty_db = ABSENT,
        .drift_db = ABSENT,
        .frequency_hz = ABSENT,
    };
    if (is_absolute)
        snprintf(gain.source, sizeof gain.source, "a full-scale sine is %.2f dB, as stated; no uncertainty was stated",
                 full_scale_sine_db);
    else
        snprintf(gain.source, sizeof gain.source, "no calibration: levels are dBFS");
    return gain;
}

static struct gain gain_of_sensitivity(double sensitivity_mv_pa, double full_scale_v)
{
    double pa = v_to_mv(full_scale_v) / sensitivity_mv_pa;
    struct gain gain = gain_of_full_scale(pa2_to_db(pa * pa / 2));
    snprintf(gain.source, sizeof gain.source,
             "%g mV/Pa and %g V peak at full scale, as stated: a full-scale sine is %.2f dB; no uncertainty was stated",
             sensitivity_mv_pa, full_scale_v, gain.full_scale_sine_db);
    return gain;
}

/* Half width `a` of a rectangle as a standard uncertainty, GUM 4.3.7. */
static double of_rectangle(double a)
{
    return a / sqrt(3);
}

void gain_judge_calibrator(const struct calibrator_figures *figures, const char *file, struct findings *findings)
{
    if (figures->distortion_pct > DISTORTION_MOST_PCT)
        findings_add(
            findings, "calibrator-distortion", SEVERITY_DOUBTFUL, ABSENT,
            "the calibrator's tone in %s is distorted by %.1f %% (a calibrator of class 2 stays below %g %%), so "
            "all levels may be off; check the calibrator's battery and the gain, and record it again",
            text_short(file).text, figures->distortion_pct, DISTORTION_MOST_PCT);
    if (figures->noise_db > NOISE_MOST_DB)
        findings_add(findings, "calibrator-noise", SEVERITY_DOUBTFUL, ABSENT,
                     "the noise in %s is only %.1f dB below the calibrator's tone; push the calibrator home on the "
                     "microphone, keep the place quiet and record it again",
                     text_short(file).text, -figures->noise_db);
}

static bool measure_file(const char *folder, const char *file, int channel, double frequency_hz,
                         struct calibrator_figures *figures, struct err *err)
{
    char *path = files_join(folder, file);
    if (!path)
        return err_memory(err);
    bool done = calibrator_measure(path, channel, frequency_hz, figures, err);
    free(path);
    return done;
}

static void judge_drift(const struct calibration *calibration, const char *folder, int channel, double before_dbfs,
                        struct gain *gain, struct findings *findings)
{
    struct calibrator_figures after = { 0 };
    struct err err;
    if (!measure_file(folder, calibration->after_file, channel, calibration->frequency_hz, &after, &err)) {
        findings_add(
            findings, "calibration-after", SEVERITY_DOUBTFUL, ABSENT,
            "the calibrator recording made after the runs can't be used, so the drift of the gain is not known "
            "(%s: %s)",
            text_short(calibration->after_file).text, err.text);
        return;
    }
    gain_judge_calibrator(&after, calibration->after_file, findings);
    gain->drift_db = after.level_dbfs - before_dbfs;
    char drift[32];
    if (fabs(gain->drift_db) > DRIFT_MOST_DB)
        findings_add(
            findings, "calibration-drift", SEVERITY_DOUBTFUL, ABSENT,
            "the calibrator reads %s dB after the runs against before (%g dB are allowed), so the gain changed "
            "in between; find out why and record the runs again",
            num_words_signed(drift, sizeof drift, gain->drift_db, 2), DRIFT_MOST_DB);
}

static bool gain_of_recording(const struct microphone *microphone, const char *folder, int channel, struct gain *out,
                              struct findings *findings, struct err *err)
{
    const struct calibration *calibration = &microphone->calibration;
    struct calibrator_figures before = { 0 };
    if (!measure_file(folder, calibration->file, channel, calibration->frequency_hz, &before, err))
        return false;
    struct gain gain = gain_of_full_scale(calibration->level_db - before.level_dbfs);
    gain.frequency_hz = before.frequency_hz;
    gain_judge_calibrator(&before, calibration->file, findings);
    if (calibration->after_file)
        judge_drift(calibration, folder, channel, before.level_dbfs, &gain, findings);
    double drift_db = is_given(gain.drift_db) ? gain.drift_db : 0;
    double limit_db = microphone->meter_class == 1 ? CLASS_1_LEVEL_DB : CLASS_2_LEVEL_DB;
    gain.standard_uncertainty_db =
        hypot(hypot(of_rectangle(limit_db), of_rectangle(before.steadiness_db)), of_rectangle(drift_db));
    char reading[32];
    text_fit(gain.source, sizeof gain.source, "%s: %.2f dB at %.1f Hz reads %s dBFS from %.1f to %.1f s",
             text_short(calibration->file).text, calibration->level_db, before.frequency_hz,
             num_words(reading, sizeof reading, before.level_dbfs, 2), before.start_s, before.end_s);
    *out = gain;
    return true;
}

bool gain_of_microphone(const struct microphone *microphone, const char *folder, int channel, struct gain *out,
                        struct findings *findings, struct err *err)
{
    const struct calibration *calibration = &microphone->calibration;
    switch (calibration->kind) {
    case CALIBRATION_NONE:
        *out = gain_of_full_scale(ABSENT);
        return true;
    case CALIBRATION_FULL_SCALE:
        *out = gain_of_full_scale(calibration->full_scale_db);
        return true;
    case CALIBRATION_SENSITIVITY:
        *out = gain_of_sensitivity(calibration->sensitivity_mv_pa, calibration->full_scale_v);
        return true;
    case CALIBRATION_RECORDING:
        return gain_of_recording(microphone, folder, channel, out, findings, err);
    }
    return err_set(err, ERR_INTERNAL, "a calibration of no known kind");
}
