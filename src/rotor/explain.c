/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/count.h"
#include "rotor/drive.h"
#include "rotor/floor.h"
#include "rotor/naming.h"
#include "rotor/passage.h"
#include "rotor/rotor.h"
#include "rotor/shares.h"
#include "rotor/speed.h"
#include "rotor/tone.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define DEFAULT_TOLERANCE_PCT 2.0 /* of the log, as interface.md has it */
#define LOWEST_RPM 300.0          /* that is thought of without a log */
#define HIGHEST_RPM 60000.0
#define OTHER_COUNT_EVIDENCE 3.0 /* odds of 20 to 1 that a count is wrong rather than a log */
#define COUNT_CONTRAST_DB 10.0   /* an order family that stands so far above the others; common practice, no source */
#define COUNT_MARGIN_DB 6.0

struct explanation {
    const struct variant *variant;
    const struct rotor_log *log;
    const struct spectrum *spectrum;
    double *noise_pa2; /* owned */
    double log_hz, tolerance_pct;
    double highest_hz;
    struct speed speed;
    struct rotor_figures *out;
    struct findings *findings;
};

static struct speed_question ask_speed(const struct explanation *explanation)
{
    const struct variant *variant = explanation->variant;
    return (struct speed_question){
        .tones = explanation->out->tones,
        .tone_count = explanation->out->tone_count,
        .blades = variant ? variant->blades : 0,
        .log_hz = explanation->log_hz,
        .log_tolerance_pct = explanation->tolerance_pct,
        .search_pct = SPEED_SEARCH_PCT,
        .lowest_hz = rpm_to_hz(LOWEST_RPM),
        .highest_hz = rpm_to_hz(HIGHEST_RPM),
        .step_hz = explanation->spectrum->step_hz,
        .highest_tone_hz = explanation->highest_hz,
        .mains_hz = variant ? variant->mains_hz : ABSENT,
    };
}

static void take_speed(struct explanation *explanation, const struct speed *speed, const char *source)
{
    struct rotor_figures *out = explanation->out;
    explanation->speed = *speed;
    if (!is_given(speed->shaft_hz))
        return;
    out->rpm_measured = hz_to_rpm(speed->shaft_hz);
    out->rpm_uncertainty = hz_to_rpm(speed->uncertainty_hz);
    snprintf(out->rpm_source, sizeof out->rpm_source, "%s", source);
}

/* The speed by the blade count that is given; where the log is kept only by another count, by that one. */
static void find_speed(struct explanation *explanation, const struct speed_question *question)
{
    struct speed speed = speed_from_tones(question);
    bool has_log = is_given(question->log_hz);
    if (is_given(speed.shaft_hz) && !has_log)
        count_settle_speed(question, &speed);
    bool is_off =
        is_given(speed.shaft_hz) && fabs(speed.shaft_hz / question->log_hz - 1) > question->log_tolerance_pct / 100;
    if (has_log && (is_off || !is_given(speed.shaft_hz))) {
        int count = 0;
        struct speed other = count_search(question, &count);
        if (is_given(other.shaft_hz) &&
            (!is_given(speed.shaft_hz) || other.evidence > speed.evidence + OTHER_COUNT_EVIDENCE))
            speed = other;
    }
    take_speed(explanation, &speed, "sound");
}

/* Says so when the orders of the shaft show another blade count than the one that is given. */
static void judge_count(const struct explanation *explanation, const struct speed_question *question)
{
    if (!is_given(explanation->speed.shaft_hz) || !is_given(question->log_hz))
        return;
    struct count_heard heard = count_from_orders(question, &explanation->speed);
    if (heard.count == 0 || heard.count == question->blades || heard.contrast_db < COUNT_CONTRAST_DB)
        return;
    if (question->blades <= 0) {
        findings_add(
            explanation->findings, "blade-count-heard", SEVERITY_NOTE, ABSENT,
            "no blade count is given; at the logged speed the tones are those of %d blades (their orders stand "
            "%.0f dB above the others); give the count",
            heard.count, heard.contrast_db);
        return;
    }
    double given_db =
        count_contrast_db(question, explanation->speed.shaft_hz, explanation->speed.uncertainty_hz, question->blades);
    if (is_given(given_db) && heard.contrast_db - given_db < COUNT_MARGIN_DB)
        return;
    findings_add(explanation->findings, "blade-count", SEVERITY_DOUBTFUL, ABSENT,
                 "the sound contradicts the blade count of %d: at %.0f rev/min the tones are those of %d blades (their "
                 "orders stand %.0f dB above the other orders); check the count and the log",
                 question->blades, explanation->out->rpm_measured, heard.count, heard.contrast_db);
}

static void tell_speed(const struct explanation *explanation)
{
    const struct rotor_figures *out = explanation->out;
    double log_rpm = hz_to_rpm(explanation->log_hz);
    bool has_count = explanation->variant && explanation->variant->blades > 0;
    if (is_given(out->rpm_measured) && is_given(log_rpm)) {
        double off_pct = 100 * (log_rpm / out->rpm_measured - 1);
        if (fabs(out->rpm_measured / log_rpm - 1) > explanation->tolerance_pct / 100)
            findings_add(explanation->findings, "speed-differs", SEVERITY_DOUBTFUL, ABSENT,
                         "the blade tones say %.1f rev/min, the log %.1f: the log is %.2f %% too %s, outside its "
                         "tolerance of %.3g %%; check the log",
                         out->rpm_measured, log_rpm, fabs(off_pct), off_pct > 0 ? "high" : "low",
                         explanation->tolerance_pct);
    } else if (is_given(out->rpm_measured)) {
        return;
    } else if (is_given(log_rpm) && has_count) {
        findings_add(
            explanation->findings, "blade-absent", SEVERITY_DOUBTFUL, ABSENT,
            "no blade tones stand out of the noise within %.0f %% of the logged %.0f rev/min; come nearer with "
            "the microphone or check the log",
            SPEED_SEARCH_PCT, log_rpm);
    } else if (has_count) {
        findings_add(explanation->findings, "speed-unknown", SEVERITY_NOTE, ABSENT,
                     "the sound does not tell the speed: no comb of blade tones stands out; log the speed");
    } else if (!is_given(log_rpm)) {
        findings_add(explanation->findings, "speed-and-count-unknown", SEVERITY_NOTE, ABSENT,
                     "neither speed nor blade count is given, and equal blades sound alike at many pairs of both (two "
                     "blades at 6000 rev/min as three at 4000); give one of them to have tones named");
    }
}

static bool name_tones(struct explanation *explanation, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    struct variant nothing_known;
    variant_init(&nothing_known);
    const struct variant *variant = explanation->variant ? explanation->variant : &nothing_known;
    bool has_speed = is_given(explanation->speed.shaft_hz);
    struct lines lines = { 0 };
    /* Without a speed the lines on shafts are only placeholders that naming passes over. */
    if (!drive_lines(variant, has_speed ? out->rpm_measured : HIGHEST_RPM, 0, explanation->highest_hz, &lines, err))
        return false;
    const struct naming naming = {
        .lines = &lines,
        .shaft_hz = explanation->speed.shaft_hz,
        .shaft_uncertainty_hz = explanation->speed.uncertainty_hz,
        .ratio = variant_drive_ratio(variant),
        .step_hz = explanation->spectrum->step_hz,
    };
    tones_name(out->tones, out->tone_count, &naming);
    lines_clear(&lines);
    return true;
}

static bool judge_passages(struct explanation *explanation, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    const struct passage_question question = {
        .tones = out->tones,
        .tone_count = out->tone_count,
        .blades = explanation->variant ? explanation->variant->blades : 0,
        .log_hz = explanation->log_hz,
        .log_tolerance_pct = explanation->tolerance_pct,
        .shaft_hz = explanation->speed.shaft_hz,
        .shaft_uncertainty_hz = explanation->speed.uncertainty_hz,
        .step_hz = explanation->spectrum->step_hz,
        .highest_hz = explanation->highest_hz,
    };
    return passages_judge(&question, &out->blade_passages, &out->blade_passage_count, err);
}

static bool explain(struct explanation *explanation, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    if (!floor_estimate(explanation->spectrum, explanation->noise_pa2, err) ||
        !tones_find(explanation->spectrum, explanation->noise_pa2, &out->tones, &out->tone_count, err))
        return false;
    struct speed_question question = ask_speed(explanation);
    find_speed(explanation, &question);
    tell_speed(explanation);
    judge_count(explanation, &question);
    if (!name_tones(explanation, err) || !judge_passages(explanation, err))
        return false;
    out->shares = shares_of_energy(explanation->spectrum, out->tones, out->tone_count);
    return true;
}

bool rotor_explain(const struct variant *variant, const struct rotor_log *log, const struct figures *figures,
                   struct pressure *pressure, struct rotor_figures *out, struct findings *findings, struct err *err)
{
    (void)pressure;
    struct rotor_figures made;
    rotor_figures_init(&made);
    struct explanation explanation = {
        .variant = variant,
        .log = log,
        .spectrum = &figures->spectrum,
        .log_hz = log ? rpm_to_hz(log->rpm) : ABSENT,
        .tolerance_pct = log && is_given(log->rpm_tolerance_pct) ? log->rpm_tolerance_pct : DEFAULT_TOLERANCE_PCT,
        .highest_hz = (double)figures->spectrum.count * figures->spectrum.step_hz,
        .speed = { ABSENT, ABSENT, 0, 0 },
        .out = &made,
        .findings = findings,
    };
    if (figures->spectrum.count < 8) {
        *out = made;
        return true;
    }
    explanation.noise_pa2 = memory_new(figures->spectrum.count, sizeof *explanation.noise_pa2);
    bool is_ok = explanation.noise_pa2 ? explain(&explanation, err) : err_memory(err);
    free(explanation.noise_pa2);
    if (!is_ok) {
        rotor_figures_clear(&made);
        return false;
    }
    *out = made;
    return true;
}
