/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/explanation.h"

#include "base/absent.h"
#include "base/units.h"
#include "rotor/choice.h"
#include "rotor/count.h"
#include "rotor/others.h"
#include "rotor/ridge.h"
#include "rotor/wander.h"

#include <math.h>
#include <stdio.h>

#define LOWEST_RPM 300.0 /* that is thought of without a log */
#define HIGHEST_RPM 60000.0
#define HEARD_LINES 4         /* of a comb, one of which must be heard */
#define UNHEARD_EVIDENCE 15.0 /* or odds of three million to one */
#define REFINE_PCT 0.5
#define STRAY_PCT 0.3            /* a course so far from its rotor's speed is another's, or of both */
#define RAMP_REFINE_PCT 0.15     /* a ramp's mean comes from a comb over shaft angle already */
#define BORNE_OUT 0.9            /* share of the windows that tell a speed which nobody doubts */
#define OTHER_COUNT_EVIDENCE 3.0 /* odds of 20 to 1 that a count is wrong rather than a log */

struct speed_question explanation_question(const struct explanation *explanation)
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
        .step_hz = explanation->spectrum.step_hz,
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

static void drop_speed(struct explanation *explanation)
{
    struct rotor_figures *out = explanation->out;
    explanation->speed = (struct speed){ ABSENT, ABSENT, 0, 0 };
    explanation->heard_count = 0;
    out->rpm_measured = out->rpm_uncertainty = ABSENT;
    out->rpm_source[0] = '\0';
    track_clear(&explanation->track);
}

/* Does any line as far as the fourth blade line rise above the noise in its critical band? With a log all orders of the
 * shaft count, as the blade count may be wrong. A comb that isn't heard may be any machine's: it must be much clearer.
 */
static bool is_heard(const struct speed_question *question, const struct speed *speed, int blades)
{
    int step = is_given(question->log_hz) ? 1 : blades;
    double base_hz = speed->shaft_hz * step, last = (double)HEARD_LINES * blades / step;
    for (size_t i = 0; i < question->tone_count; i++) {
        const struct tone *tone = &question->tones[i];
        double line_hz = base_hz * fmin(fmax(round(tone->hz / base_hz), 1), last);
        double width_hz =
            speed_match_hz(tone->uncertainty_hz, line_hz, speed->uncertainty_hz / speed->shaft_hz, question->step_hz);
        if (tone->above_noise_db >= 0 && fabs(tone->hz - line_hz) <= width_hz)
            return true;
    }
    return false;
}

/* The speed by the blade count that is given; where the log is kept only by another count, by that one, which is told
 * (tell.c). A comb whose count divides the given one holds the given one's blade lines, and one of twice as many
 * is that of blades loaded twice a turn: there the given one stands. */
static bool hear_speed(struct explanation *explanation, const struct speed_question *question, struct err *err)
{
    struct speed speed;
    int blades = question->blades;
    bool has_log = is_given(question->log_hz);
    if (has_log)
        speed = speed_from_tones(question);
    else if (!speed_choose(question, explanation->variant, &speed, err))
        return false;
    bool is_off =
        is_given(speed.shaft_hz) && fabs(speed.shaft_hz / question->log_hz - 1) > question->log_tolerance_pct / 100;
    if (has_log && (is_off || !is_given(speed.shaft_hz))) {
        int count = 0;
        struct speed other = count_search(question, &count);
        if (is_given(other.shaft_hz) &&
            (!is_given(speed.shaft_hz) || other.evidence > speed.evidence + OTHER_COUNT_EVIDENCE)) {
            speed = other;
            blades = count;
        }
    }
    bool is_alike = question->blades <= 0 || question->blades % blades == 0 || blades == 2 * question->blades;
    explanation->heard_count = is_alike ? 0 : blades;
    if (is_given(speed.shaft_hz) && speed.evidence < UNHEARD_EVIDENCE && !is_heard(question, &speed, blades)) {
        speed.shaft_hz = ABSENT;
        explanation->heard_count = 0;
    }
    if (is_given(speed.shaft_hz) && explanation->heard_count == 0 && question->blades > 0 &&
        !others_choose(question, explanation->variant->rotors, &speed, err))
        return false;
    take_speed(explanation, &speed, "sound");
    return true;
}

/* The tachometer's pulses, where there are any. */
static bool read_tach(struct explanation *explanation, struct err *err)
{
    const struct rotor_log *log = explanation->log;
    if (!explanation->pressure || !log || log->tach_channel < 0)
        return true;
    if (!track_by_tach(explanation->pressure, log->tach_channel, log->tach_pulses_per_rev, &explanation->track,
                       &explanation->tach, err))
        return false;
    explanation->has_tach = is_given(explanation->track.mean_hz);
    if (!explanation->has_tach)
        findings_add(explanation->findings, "tach-unusable", SEVERITY_DOUBTFUL, ABSENT,
                     "the tachometer channel has too few pulses to tell a speed (%zu, %.3f of full scale high); the "
                     "speed is taken from the sound; check the channel and the sensor",
                     explanation->tach.pulse_count, explanation->tach.height);
    return true;
}

static bool follow_around(struct explanation *explanation, const struct track *course, struct track *out,
                          struct err *err)
{
    struct speed_question question = explanation_question(explanation);
    const struct wander *wander = &explanation->wander;
    bool is_ramp = wander->is_ramp;
    question.is_rotor = true;
    return track_by_sound(explanation->pressure, &question, explanation->speed.shaft_hz, course,
                          is_ramp ? &wander->spectrum : &explanation->spectrum,
                          is_ramp ? wander->noise_pa2 : explanation->noise_pa2, out, err);
}

/* Windows far from the mean of a course lie beyond the reach: they are looked for around the course itself. */
static bool extend_course(struct explanation *explanation, struct err *err)
{
    struct track *track = &explanation->track, wider;
    if (!is_given(track->mean_hz) || track_span(track) < RIDGE_SPAN_LEAST || track_span(track) > RIDGE_SPAN_MOST)
        return true;
    if (!follow_around(explanation, track, &wider, err))
        return false;
    bool is_better = is_given(wider.mean_hz) && wider.heard_share > track->heard_share;
    struct track worse = is_better ? *track : wider;
    if (is_better)
        *track = wider;
    track_clear(&worse);
    return true;
}

/* The course of a speed by sound: around the mean, or around a ramp's rough course, which is kept where the windows
 * tell another one. */
static bool follow_sound(struct explanation *explanation, struct err *err)
{
    struct track *track = &explanation->track;
    const struct wander *wander = &explanation->wander;
    track_clear(track); /* what an unusable tachometer left, or a doubtful search */
    if (!explanation->pressure || explanation_question(explanation).blades <= 0 ||
        !is_given(explanation->speed.shaft_hz))
        return true;
    if (!follow_around(explanation, wander->is_ramp ? &wander->course : NULL, track, err))
        return false;
    if (!wander->is_ramp && explanation->variant->rotors > 1 &&
        fabs(track->mean_hz / explanation->speed.shaft_hz - 1) > STRAY_PCT / 100)
        track_clear(track); /* the windows heard another of the rotors */
    if (!wander->is_ramp)
        return extend_course(explanation, err);
    if (is_given(track->mean_hz) && (fabs(track->mean_hz / explanation->speed.shaft_hz - 1) > RAMP_REFINE_PCT / 100 ||
                                     track_distance(track, &wander->course) > RAMP_REACH_PCT / 100))
        track_clear(track);
    return true;
}

/* A speed that the windows do not bear out, or that moves nearly as far as they reach, may be a ramp's. Where tones
 * move so far and yet no comb goes with them, the averaged spectrum's comb is not to be believed. */
static bool doubt_speed(struct explanation *explanation, struct err *err)
{
    const struct track *track = &explanation->track;
    bool is_borne_out =
        is_given(track->mean_hz) && track->heard_share >= BORNE_OUT && track_span(track) < RIDGE_SPAN_LEAST;
    if (!explanation->pressure || explanation_question(explanation).blades <= 0 || is_borne_out)
        return true;
    bool is_steady = is_given(track->mean_hz) && track_span(track) < RIDGE_SPAN_LEAST;
    wander_clear(&explanation->wander);
    if (!wander_search_ramp(explanation, &explanation->wander, &explanation->is_moving, err))
        return false;
    if (is_given(explanation->wander.speed.shaft_hz)) {
        take_speed(explanation, &explanation->wander.speed, "sound");
        return follow_sound(explanation, err);
    }
    if (explanation->is_moving && !is_steady)
        drop_speed(explanation);
    return true;
}

static bool find_by_sound(struct explanation *explanation, const struct speed_question *question, struct err *err)
{
    if (!hear_speed(explanation, question, err))
        return false;
    if (is_given(explanation->speed.shaft_hz))
        return follow_sound(explanation, err) && doubt_speed(explanation, err);
    if (question->blades <= 0 || !explanation->pressure)
        return true;
    if (!wander_search(explanation, &explanation->wander, &explanation->is_moving, err))
        return false;
    take_speed(explanation, &explanation->wander.speed, "sound");
    return follow_sound(explanation, err);
}

bool explanation_find_speed(struct explanation *explanation, struct err *err)
{
    if (!read_tach(explanation, err))
        return false;
    struct speed_question question = explanation_question(explanation);
    if (explanation->has_tach)
        explanation->tach_doubt = tach_doubt_find(&question, explanation->track.mean_hz);
    if (explanation->tach_doubt.is_sure) {
        explanation->has_tach = false;
        take_speed(explanation, &explanation->tach_doubt.speed, "sound");
        return follow_sound(explanation, err);
    }
    if (!explanation->has_tach)
        return find_by_sound(explanation, &question, err);
    const struct track *track = &explanation->track;
    struct speed speed = { track->mean_hz, track->uncertainty_hz, 0, HUGE_VAL };
    take_speed(explanation, &speed, "tachometer");
    return true;
}

void explanation_refine_speed(struct explanation *explanation)
{
    const struct wander *wander = &explanation->wander;
    bool is_rough = wander->is_ramp && !is_given(wander->course.mean_hz); /* the ridge's own course is all there is */
    if (explanation->has_tach || is_rough)
        return;
    struct speed_question question = explanation_question(explanation);
    question.is_rotor = true;
    question.log_hz = explanation->track.mean_hz;
    question.log_tolerance_pct = question.search_pct = wander->is_ramp ? RAMP_REFINE_PCT : REFINE_PCT;
    struct speed speed = speed_from_tones(&question);
    if (is_given(speed.shaft_hz))
        take_speed(explanation, &speed, "sound");
}

void explanation_tell_course(struct explanation *explanation)
{
    struct rotor_figures *out = explanation->out;
    if (!is_given(explanation->speed.shaft_hz))
        return;
    if (!is_given(explanation->track.mean_hz) && is_given(explanation->wander.course.mean_hz)) {
        track_clear(&explanation->track);
        explanation->track = explanation->wander.course;
        explanation->wander.course = (struct track){ .mean_hz = ABSENT };
    }
    if (is_given(explanation->track.mean_hz)) {
        out->speed_drift_pct = explanation->track.drift_pct;
        out->speed_jitter_pct = explanation->track.jitter_pct;
    }
}
