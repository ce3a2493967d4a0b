/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/drive.h"
#include "rotor/explanation.h"
#include "rotor/machine.h"
#include "rotor/naming.h"
#include "rotor/others.h"
#include "rotor/passage.h"
#include "rotor/rotor.h"
#include "rotor/shares.h"
#include "rotor/slip_course.h"
#include "rotor/tidy.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DEFAULT_TOLERANCE_PCT 2.0 /* of the log, as interface.md has it */
#define PLACEHOLDER_RPM 60.0
#define LEAST_LINES 64 /* of a spectrum, below which nothing can be told */

/* Bearings and belts are listened to in the envelope where there are any. Without a speed by sound or tachometer the
 * log's will do, within its tolerance. */
static bool listen(const struct explanation *explanation, const struct lines *lines, struct envelope_report *envelope,
                   bool *has_listened, struct err *err)
{
    bool is_worth_it = false;
    for (size_t i = 0; i < lines->count; i++)
        is_worth_it |= lines->items[i].family == LINE_BEARING || lines->items[i].family == LINE_BELT_TURN;
    const struct speed *speed = &explanation->speed;
    bool is_heard = is_given(speed->shaft_hz);
    struct envelope_question question = { .lines = lines,
                                          .shaft_hz = is_heard ? speed->shaft_hz : explanation->log_hz,
                                          .shaft_tolerance_pct = is_heard
                                                                     ? 300 * speed->uncertainty_hz / speed->shaft_hz
                                                                     : explanation->tolerance_pct };
    *has_listened = explanation->pressure && is_worth_it && is_given(question.shaft_hz);
    return !*has_listened || envelope_listen(explanation->pressure, &question, envelope, err);
}

/* What the naming works with: the lines (owned), the ratio they were made with, what the envelope says; and the tones
 * as they are named with them (owned). */
struct names {
    struct variant variant; /* borrows what it owns */
    struct lines lines;
    struct envelope_report envelope;
    struct naming naming;
    struct others others;
    struct tone *tones;
    size_t tone_count;
};

static void names_clear(struct names *names)
{
    lines_clear(&names->lines);
    free(names->tones);
}

static bool name_others(const struct explanation *explanation, struct names *names, struct err *err)
{
    const struct variant *variant = &names->variant;
    names->others = (struct others){ .unasked_hz = ABSENT };
    if (variant->blades <= 0 || !is_given(names->naming.shaft_hz))
        return true;
    struct speed_question question = explanation_question(explanation);
    return others_name(&question, names->naming.shaft_hz, variant->rotors, names->tones, names->tone_count,
                       &names->others, err);
}

static bool tell_others(struct explanation *explanation, const struct others *others, struct err *err)
{
    double shaft_hz = explanation->speed.shaft_hz;
    for (int i = 0; i < others->count; i++) {
        double other_hz = others->shaft_hz[i];
        if (!remark_add(explanation, err,
                        "Another rotor turns at %.1f rev/min, %+.2f %% beside the first: their blade tones beat %.2f "
                        "times a second.",
                        hz_to_rpm(other_hz), 100 * (other_hz / shaft_hz - 1),
                        explanation->variant->blades * fabs(other_hz - shaft_hz)))
            return false;
    }
    return !is_given(others->unasked_hz) ||
           remark_add(explanation, err,
                      "Tones that no part of this rotor makes lie on the blade lines of another at %.1f rev/min, %+.2f "
                      "%% beside it: if there is one, give the variant `rotors: 2` to have them named.",
                      hz_to_rpm(others->unasked_hz), 100 * (others->unasked_hz / shaft_hz - 1));
}

/* A copy of the tones, named by names->lines. */
static bool name_with_lines(const struct explanation *explanation, struct names *names, struct err *err)
{
    const struct rotor_figures *out = explanation->out;
    bool has_listened = false;
    if (!listen(explanation, &names->lines, &names->envelope, &has_listened, err))
        return false;
    names->tones = memory_new(out->tone_count, sizeof *names->tones);
    if (!names->tones)
        return err_memory(err);
    names->tone_count = out->tone_count;
    if (out->tone_count > 0)
        memcpy(names->tones, out->tones, out->tone_count * sizeof *names->tones);
    names->naming.lines = &names->lines;
    names->naming.envelope = has_listened ? &names->envelope : NULL;
    tones_name(names->tones, names->tone_count, &names->naming);
    return name_others(explanation, names, err);
}

static size_t explained_count(const struct names *names)
{
    size_t count = 0;
    for (size_t i = 0; i < names->tone_count; i++)
        count += !tone_is_unexplained(&names->tones[i]);
    return count;
}

/* Where the motor's tones say another ratio than the teeth, its lines lie elsewhere: all tones are named once more. The
 * names at that ratio are kept where they explain more tones, or as many and the slip is clear. */
static bool name_at_ratio(const struct explanation *explanation, struct names *names, const struct motor_heard *motor,
                          struct err *err)
{
    double shaft_hz = names->naming.shaft_hz, ratio = motor->motor_hz / shaft_hz;
    struct names slipping = *names;
    slipping.naming.slip_pct = 100 * (1 - names->naming.ratio / ratio);
    slipping.naming.ratio = ratio;
    slipping.lines = (struct lines){ 0 };
    slipping.tones = NULL;
    bool is_ok = drive_lines_at_ratio(&names->variant, hz_to_rpm(shaft_hz), ratio, explanation->highest_hz,
                                      &slipping.lines, err) &&
                 name_with_lines(explanation, &slipping, err);
    size_t least = explained_count(names) + !motor_slips(motor, &names->naming);
    struct names worse = slipping;
    if (is_ok && explained_count(&slipping) >= least) {
        worse = *names;
        *names = slipping;
        names->naming.lines = &names->lines;
        names->naming.envelope = slipping.naming.envelope ? &names->envelope : NULL;
    }
    names_clear(&worse);
    return is_ok;
}

static bool name_and_tell(struct explanation *explanation, struct names *names, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    const struct variant *variant = &names->variant;
    if (!name_with_lines(explanation, names, err))
        return false;
    struct motor_heard motor = motor_unheard();
    if (variant->drive != DRIVE_DIRECT)
        motor = motor_listen(variant, explanation->log ? rpm_to_hz(explanation->log->motor_rpm) : ABSENT, names->tones,
                             names->tone_count, &names->naming);
    if (motor_is_beside(&motor, &names->naming) && !name_at_ratio(explanation, names, &motor, err))
        return false;
    if (!slip_follow(explanation, &names->naming, names->tones, names->tone_count, &motor, err))
        return false;
    free(out->tones);
    out->tones = names->tones;
    names->tones = NULL;
    out->tone_count = tones_tidy(out->tones, names->tone_count, &explanation->spectrum);
    out->shares = shares_of_energy(&explanation->spectrum, out->tones, out->tone_count);
    return tell_others(explanation, &names->others, err) &&
           (!explanation->variant || machine_tell(explanation, &names->naming, &motor, err));
}

static bool name_tones(struct explanation *explanation, struct err *err)
{
    struct names names = { .lines = { 0 } };
    variant_init(&names.variant);
    if (explanation->variant)
        names.variant = *explanation->variant;
    if (explanation->heard_count > 0)
        names.variant.blades = 0; /* which of the shaft's orders are its blades' is not known */
    names.naming = (struct naming){ .shaft_hz = explanation->speed.shaft_hz,
                                    .shaft_uncertainty_hz = explanation->speed.uncertainty_hz,
                                    .ratio = variant_drive_ratio(&names.variant),
                                    .strong_orders = explanation->told_count,
                                    .step_hz = explanation->spectrum.step_hz };
    double shaft_hz = is_given(names.naming.shaft_hz) ? names.naming.shaft_hz : explanation->log_hz;
    /* Without any speed the lines on shafts are only placeholders that naming passes over. */
    if (!drive_lines(&names.variant, is_given(shaft_hz) ? hz_to_rpm(shaft_hz) : PLACEHOLDER_RPM, 0,
                     explanation->highest_hz, &names.lines, err))
        return false;
    bool is_ok = name_and_tell(explanation, &names, err);
    names_clear(&names);
    return is_ok;
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
        /* A comb of another blade count is no blade line of the given one. */
        .shaft_hz = explanation->heard_count > 0 ? ABSENT : explanation->speed.shaft_hz,
        .highest_hz = explanation->highest_hz,
    };
    return passages_judge(&question, &out->blade_passages, &out->blade_passage_count, err);
}

static bool explain(struct explanation *explanation, const struct spectrum *spectrum, struct err *err)
{
    if (!explanation_take_spectrum(explanation, spectrum, err) || !explanation_find_speed(explanation, err))
        return false;
    explanation_tell_course(explanation);
    if (!explanation_sharpen(explanation, err))
        return false;
    tell_speed(explanation);
    tell_tach(explanation);
    tell_count(explanation);
    tell_unloaded_speed(explanation);
    if (!name_tones(explanation, err) || !judge_passages(explanation, err))
        return false;
    tell_passages(explanation);
    tell_shortfall(explanation);
    return true;
}

bool rotor_explain(const struct variant *variant, const struct rotor_log *log, const struct figures *figures,
                   struct pressure *pressure, struct rotor_figures *out, struct findings *findings, struct err *err)
{
    struct rotor_figures made;
    rotor_figures_init(&made);
    struct explanation explanation = {
        .variant = variant,
        .log = log,
        .pressure = pressure,
        .log_hz = log ? rpm_to_hz(log->rpm) : ABSENT,
        .tolerance_pct = log && is_given(log->rpm_tolerance_pct) ? log->rpm_tolerance_pct : DEFAULT_TOLERANCE_PCT,
        .speed = { ABSENT, ABSENT, 0, 0 },
        .track = { .mean_hz = ABSENT },
        .wander = wander_nothing(),
        .tach_doubt = tach_doubt_nothing(),
        .out = &made,
        .findings = findings,
    };
    bool is_ok = figures->spectrum.count < LEAST_LINES || explain(&explanation, &figures->spectrum, err);
    free(explanation.noise_pa2);
    if (explanation.has_own_spectrum)
        free(explanation.spectrum.pa2);
    track_clear(&explanation.track);
    wander_clear(&explanation.wander);
    if (!is_ok) {
        rotor_figures_clear(&made);
        return false;
    }
    *out = made;
    return true;
}
