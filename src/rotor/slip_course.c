/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/slip_course.h"

#include "base/absent.h"
#include "rotor/tone.h"

#include <math.h>
#include <stdio.h>

enum { COURSES_MOST = 5, POINTS = 50 };

#define MIDDLE_SLIP 0.04 /* of what is looked for: from 0 to 8 % */
#define REACH 0.04
#define HEARD_LEAST 0.7 /* share of the windows */

/* An order of the motor's shaft, and what makes it. */
struct motor_line {
    int order;
    const char *source;
};

static size_t list_lines(const struct variant *variant, struct motor_line lines[COURSES_MOST])
{
    const struct motor_line all[COURSES_MOST] = {
        { variant->motor_pulley_teeth, "belt mesh 1" },      { 2 * variant->motor_pole_pairs, "motor electrical 2" },
        { 2 * variant->motor_pulley_teeth, "belt mesh 2" },  { 6 * variant->motor_pole_pairs, "motor electrical 6" },
        { variant->motor_pole_pairs, "motor electrical 1" },
    };
    size_t count = 0;
    for (size_t i = 0; i < COURSES_MOST; i++)
        if (all[i].order > 0)
            lines[count++] = all[i];
    return count;
}

static bool is_broad(const struct explanation *explanation, const struct tone *tone)
{
    bool is_motor = tone_is_unexplained(tone) || tone_is_of(tone, "belt mesh") || tone_is_of(tone, "motor electrical");
    return is_motor && tone->uncertainty_hz > TONE_STEADY_LINES * explanation->spectrum.step_hz;
}

static bool has_broad(const struct explanation *explanation, const struct tone *tones, size_t count, double hz)
{
    for (size_t i = 0; i < count; i++)
        if (fabs(tones[i].hz / hz - 1) <= REACH && is_broad(explanation, &tones[i]))
            return true;
    return false;
}

/* Do two courses tell one speed of the motor? */
static bool is_one(const struct track *a, const struct track *b)
{
    for (int i = 1; i < 10; i++) {
        double time_s = a->duration_s * i / 10;
        if (!(fabs(track_hz(a, time_s) / track_hz(b, time_s) - 1) < COURSE_SHARE))
            return false;
    }
    return true;
}

static double rotor_hz(const struct explanation *explanation, double time_s)
{
    const struct track *track = &explanation->track;
    double shaft_hz = explanation->speed.shaft_hz;
    return is_given(track->mean_hz) ? shaft_hz * track_hz(track, time_s) / track->mean_hz : shaft_hz;
}

/* From start to end by a straight line through the slip's course, whose own ends are less sure. */
static void take_course(const struct explanation *explanation, const struct track *course, struct motor_heard *motor)
{
    double ratio = variant_drive_ratio(explanation->variant), sum_hz = 0, sum_pct = 0, sum_moments = 0, squares = 0;
    struct motor_heard moving = { .least_hz = HUGE_VAL, .line_count = 2, .uncertainty_hz = course->uncertainty_hz };
    for (int i = 0; i < POINTS; i++) {
        double place = (i + 0.5) / POINTS, time_s = course->duration_s * place, motor_hz = track_hz(course, time_s);
        double slip_pct = 100 * (1 - rotor_hz(explanation, time_s) * ratio / motor_hz);
        sum_pct += slip_pct;
        sum_moments += slip_pct * (place - 0.5);
        squares += (place - 0.5) * (place - 0.5);
        sum_hz += motor_hz;
        moving.least_hz = fmin(moving.least_hz, motor_hz);
        moving.most_hz = fmax(moving.most_hz, motor_hz);
    }
    double mean_pct = sum_pct / POINTS, change_pct = sum_moments / squares;
    moving.motor_hz = sum_hz / POINTS;
    moving.first_pct = mean_pct - change_pct / 2;
    moving.last_pct = mean_pct + change_pct / 2;
    moving.moves = fabs(change_pct) >= SLIP_MOVES_PCT;
    if (moving.moves)
        *motor = moving;
}

/* Broad tones without a part in what a line swept. */
static void name_swept(const struct explanation *explanation, const struct motor_line *line,
                       const struct motor_heard *motor, struct tone *tones, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct tone *tone = &tones[i];
        double low_hz = line->order * motor->least_hz, high_hz = line->order * motor->most_hz;
        double width_hz = tone->uncertainty_hz + COURSE_SHARE * tone->hz;
        if (!tone_is_unexplained(tone) || !is_broad(explanation, tone) || tone->hz < low_hz - width_hz ||
            tone->hz > high_hz + width_hz)
            continue;
        snprintf(tone->source, sizeof tone->source, "%s", line->source);
        snprintf(tone->remark, sizeof tone->remark, "slip moves: from %.2f to %.2f %%", motor->first_pct,
                 motor->last_pct);
        tone->expected_hz = line->order * motor->motor_hz;
    }
}

/* Follows the lines one by one until two agree. */
static bool follow(const struct explanation *explanation, const struct motor_line *lines, size_t line_count,
                   double middle_hz, struct motor_heard *motor, struct err *err)
{
    struct track courses[COURSES_MOST];
    size_t count = 0;
    bool is_ok = true, is_found = false;
    for (size_t i = 0; is_ok && !is_found && i < line_count; i++) {
        struct track *course = &courses[count];
        is_ok = track_by_tone(explanation->pressure, middle_hz * lines[i].order, &explanation->spectrum,
                              explanation->noise_pa2, course, err);
        if (!is_ok)
            break;
        count++;
        if (!is_given(course->mean_hz) || course->heard_share < HEARD_LEAST) {
            track_clear(course);
            count--;
            continue;
        }
        track_scale(course, 1.0 / lines[i].order);
        for (size_t n = 0; !is_found && n + 1 < count; n++)
            is_found = is_one(&courses[n], course);
        if (is_found)
            take_course(explanation, course, motor);
    }
    for (size_t i = 0; i < count; i++)
        track_clear(&courses[i]);
    return is_ok;
}

bool slip_follow(const struct explanation *explanation, const struct naming *naming, struct tone *tones,
                 size_t tone_count, struct motor_heard *motor, struct err *err)
{
    const struct variant *variant = explanation->variant;
    if (!variant || variant->drive != DRIVE_BELT || !explanation->pressure || !is_given(naming->shaft_hz))
        return true;
    double middle_hz = naming->shaft_hz * variant_drive_ratio(variant) / (1 - MIDDLE_SLIP);
    if (is_given(motor->motor_hz))
        middle_hz = motor->motor_hz;
    struct motor_line lines[COURSES_MOST];
    size_t line_count = list_lines(variant, lines);
    int broad = 0;
    for (size_t i = 0; i < line_count; i++)
        broad += has_broad(explanation, tones, tone_count, middle_hz * lines[i].order);
    if (broad < 2)
        return true;
    if (!follow(explanation, lines, line_count, middle_hz, motor, err))
        return false;
    for (size_t i = 0; motor->moves && i < line_count; i++)
        name_swept(explanation, &lines[i], motor, tones, tone_count);
    return true;
}
