/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/explanation.h"

#include "base/absent.h"
#include "base/units.h"
#include "rotor/count.h"
#include "rotor/passage.h"

#include <math.h>
#include <stdio.h>

#define COUNT_CONTRAST_DB 10.0 /* an order family that stands so far above the others; common practice, no source */
#define COUNT_MARGIN_DB 6.0
#define SHORTFALL_DB 1.0 /* of the blade tones together; common practice */

void tell_tach(const struct explanation *explanation)
{
    const struct tach_doubt *doubt = &explanation->tach_doubt;
    if (!is_given(doubt->ratio))
        return;
    double heard_rpm = hz_to_rpm(doubt->speed.shaft_hz), given = explanation->log->tach_pulses_per_rev;
    double tach_rpm = heard_rpm / doubt->ratio;
    if (doubt->is_sure)
        findings_add(
            explanation->findings, "tach-ratio", SEVERITY_DOUBTFUL, ABSENT,
            "the tachometer says %.0f rev/min with %.3g pulses a turn, blade tones and log say %.0f, %.3g times "
            "as much: the speed is taken from the sound; check tach_pulses_per_rev, %.3g would fit",
            tach_rpm, given, heard_rpm, doubt->ratio, given / doubt->ratio);
    else
        findings_add(
            explanation->findings, "tach-ratio", SEVERITY_DOUBTFUL, ABSENT,
            "the tachometer says %.0f rev/min with %.3g pulses a turn, but the tones are those of %d blades at "
            "%.0f, %.3g times as much: check tach_pulses_per_rev (%.3g would fit) and the blade count",
            tach_rpm, given, explanation->variant->blades, heard_rpm, doubt->ratio, given / doubt->ratio);
}

static void tell_contradiction(struct explanation *explanation, int count, const char *because)
{
    explanation->told_count = count;
    findings_add(explanation->findings, "blade-count", SEVERITY_DOUBTFUL, ABSENT,
                 "the sound contradicts the blade count of %d: at %.0f rev/min the tones are those of %d blades (%s); "
                 "check the count and the log",
                 explanation->variant->blades, explanation->out->rpm_measured, count, because);
}

/* Says so when the orders of the shaft show another blade count than the one that is given. Twice as many may be blades
 * that are loaded twice a turn. */
void tell_count(struct explanation *explanation)
{
    const struct speed_question asked = explanation_question(explanation), *question = &asked;
    if (!is_given(explanation->speed.shaft_hz) || (!is_given(question->log_hz) && !explanation->has_tach) ||
        is_given(explanation->tach_doubt.ratio))
        return;
    struct count_heard heard = count_from_orders(question, &explanation->speed);
    bool is_clear = heard.count > 0 && heard.count != question->blades && heard.contrast_db >= COUNT_CONTRAST_DB;
    if (is_clear && question->blades <= 0) {
        findings_add(
            explanation->findings, "blade-count-heard", SEVERITY_NOTE, ABSENT,
            "no blade count is given; at the logged speed the tones are those of %d blades (their orders stand "
            "%.0f dB above the others); give the count",
            heard.count, heard.contrast_db);
    }
    if (question->blades <= 0)
        return;
    double given_db =
        count_contrast_db(question, explanation->speed.shaft_hz, explanation->speed.uncertainty_hz, question->blades);
    bool is_other = is_clear && !(heard.contrast_db - given_db < COUNT_MARGIN_DB);
    if (is_other && heard.count == 2 * question->blades) {
        explanation->told_count = heard.count;
        findings_add(explanation->findings, "blade-count-twice", SEVERITY_NOTE, ABSENT,
                     "at %.0f rev/min every second blade line of %d blades stands %.0f dB above the other orders: each "
                     "blade is loaded twice a turn, as a cross-axis rotor's is, or there are %d blades; the count of "
                     "%d stands, check it with any other rotor",
                     explanation->out->rpm_measured, question->blades, heard.contrast_db, heard.count,
                     question->blades);
    } else if (is_other) {
        char because[64];
        snprintf(because, sizeof because, "their orders stand %.0f dB above the other orders", heard.contrast_db);
        tell_contradiction(explanation, heard.count, because);
    } else if (explanation->heard_count > 0) {
        tell_contradiction(explanation, explanation->heard_count, "by no other count is the logged speed kept");
    }
}

/* A speed by the shaft's orders alone leaves the blade lines without a tone. */
void tell_passages(const struct explanation *explanation)
{
    const struct rotor_figures *out = explanation->out;
    bool is_any = explanation->heard_count > 0 || explanation->has_tach; /* told elsewhere, or no matter of sound */
    for (size_t i = 0; i < out->blade_passage_count; i++)
        is_any |= out->blade_passages[i].verdict != BLADE_ABSENT;
    if (!is_given(out->rpm_measured) || out->blade_passage_count == 0 || is_any)
        return;
    findings_add(explanation->findings, "blade-absent", SEVERITY_DOUBTFUL, ABSENT,
                 "%.0f rev/min are told by other tones of the shaft; none is named after a blade line of %d blades; "
                 "come nearer with the microphone, or check the count and the log",
                 out->rpm_measured, explanation->variant->blades);
}

/* Absent lines may be hidden rather than weak: then the sum of the others says too little. */
void tell_shortfall(const struct explanation *explanation)
{
    struct rotor_figures *out = explanation->out;
    if (!is_given(explanation->speed.shaft_hz) || explanation->heard_count > 0)
        return;
    struct passages_hidden hidden = passages_hidden(out->blade_passages, out->blade_passage_count,
                                                    explanation->variant ? explanation->variant->blades : 0,
                                                    explanation->speed.shaft_hz, &explanation->spectrum);
    out->blade_shortfall_db = hidden.shortfall_db;
    if (hidden.shortfall_db >= SHORTFALL_DB)
        findings_add(
            explanation->findings, "blade-hidden", SEVERITY_NOTE, ABSENT,
            "blade lines that are not found may be hidden, most of all blade %d (%.1f Hz, where %.1f dB stand in "
            "all): the blade tones together may be up to %.1f dB louder than those found; compare their level "
            "with other runs only as a lower bound",
            hidden.harmonic, hidden.hz, hidden.most_db, hidden.shortfall_db);
}

/* What a log's speed means where the speed moved. */
static void describe_ramp(const struct explanation *explanation, char *text, size_t size)
{
    const struct track *track = &explanation->track;
    text[0] = '\0';
    if (is_given(track->mean_hz) && track_span(track) > explanation->tolerance_pct / 100)
        snprintf(text, size, " in the mean of the used part (from %.0f to %.0f through it)",
                 hz_to_rpm(track_hz(track, 0)), hz_to_rpm(track_hz(track, track->duration_s)));
}

static void tell_log_off(const struct explanation *explanation)
{
    double rpm = explanation->out->rpm_measured, log_rpm = hz_to_rpm(explanation->log_hz);
    double off_pct = 100 * (log_rpm / rpm - 1);
    char ramp[96];
    if (fabs(rpm / log_rpm - 1) <= explanation->tolerance_pct / 100)
        return;
    describe_ramp(explanation, ramp, sizeof ramp);
    findings_add(explanation->findings, "speed-differs", SEVERITY_DOUBTFUL, ABSENT,
                 "the %s %.1f rev/min%s, the log %.1f: the log is %.2f %% too %s, outside its tolerance of %.3g %%; "
                 "check the log%s",
                 explanation->has_tach ? "tachometer says" : "blade tones say", rpm, ramp, log_rpm, fabs(off_pct),
                 off_pct > 0 ? "high" : "low", explanation->tolerance_pct, ramp[0] ? ", or use a steady part" : "");
}

void tell_speed(const struct explanation *explanation)
{
    const struct rotor_figures *out = explanation->out;
    double log_rpm = hz_to_rpm(explanation->log_hz);
    bool has_count = explanation->variant && explanation->variant->blades > 0;
    const char *moving = explanation->is_moving
                             ? "; tones move through the used part as while a rotor runs up or down: "
                               "use a steady part or a tachometer"
                             : "";
    if (is_given(out->rpm_measured)) {
        if (is_given(log_rpm))
            tell_log_off(explanation);
    } else if (is_given(log_rpm) && has_count) {
        findings_add(
            explanation->findings, "blade-absent", SEVERITY_DOUBTFUL, ABSENT,
            "no blade tones stand out of the noise within %.0f %% of the logged %.0f rev/min; come nearer with "
            "the microphone or check the log%s",
            SPEED_SEARCH_PCT, log_rpm, moving);
    } else if (has_count) {
        findings_add(explanation->findings, "speed-unknown", SEVERITY_NOTE, ABSENT,
                     "the sound does not tell the speed: no comb of blade tones stands out; log the speed%s", moving);
    } else if (!is_given(log_rpm)) {
        findings_add(explanation->findings, "speed-and-count-unknown", SEVERITY_NOTE, ABSENT,
                     "neither speed nor blade count is given, and equal blades sound alike at many pairs of both (two "
                     "blades at 6000 rev/min as three at 4000); give one of them to have tones named");
    }
}

/* A motor can't turn faster than its unloaded speed, kV x voltage (definition; loaded it turns slower). */
void tell_unloaded_speed(const struct explanation *explanation)
{
    const struct variant *variant = explanation->variant;
    const struct rotor_log *log = explanation->log;
    if (!variant || !log)
        return;
    double ratio = variant_drive_ratio(variant);
    double highest_rpm = variant->motor_kv_rpm_v * log->voltage_v / ratio;
    double rpm = is_given(explanation->out->rpm_measured) ? explanation->out->rpm_measured : log->rpm;
    if (rpm > highest_rpm)
        findings_add(explanation->findings, "speed-above-unloaded", SEVERITY_DOUBTFUL, ABSENT,
                     "%.0f rev/min is faster than this motor turns unloaded: %.0f rev/min per volt at %.1f V through "
                     "%.3g:1 turn the rotor at %.0f rev/min at most; check kV, voltage, ratio and log",
                     rpm, variant->motor_kv_rpm_v, log->voltage_v, ratio, highest_rpm);
}
