/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/family.h"

#include "base/absent.h"
#include "rotor/speed.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

enum {
    BLADE_FREE = 3,
    SHAFT_FREE = 3,
    SHAFT_OTHERS = 2,
    MOTOR_SHAFT_FREE = 2,
    MAINS_FREE = 4,
    MULTIPLES_NEEDED = 3,
    PWM_LINES_NEEDED = 2,
    BLADE_GAP = 4, /* lines in a row that no tone stands on end a comb */
};

#define SLIP_SHARE 0.0005    /* multiples of one part share its slip within this */
#define ENVELOPE_SHARE 0.006 /* and the envelope's line within this: its lines are wide */
#define PWM_SHARE 0.0003     /* lines of one carrier */
#define MAINS_LINES 0.15     /* standard uncertainty of a sharp tone in a line or two, at the most */
#define COMB_STEP_DB 8.0     /* between one line of a comb and the next; common practice */
#define COMB_BONUS 0.4
#define COMB_COST_MOST 1.5

static const struct tone *tone_on(const struct family_view *view, double hz, double share)
{
    double width_hz = speed_match_hz(0.2 * view->naming->step_hz, hz, share, view->naming->step_hz);
    return tone_nearest(view->tones, view->tone_count, hz, width_hz);
}

static double speed_share(const struct family_view *view, const struct line *line)
{
    return is_given(line->rotor_order) ? view->naming->shaft_uncertainty_hz / view->naming->shaft_hz : 0;
}

/* How many lines of a part have a tone, each line's frequency times `slip`. */
static int lines_heard(const struct family_view *view, int part, double slip, double share)
{
    int heard = 0;
    for (size_t i = 0; i < view->naming->lines->count; i++) {
        const struct line *line = &view->naming->lines->items[i];
        heard += line->part == part && tone_on(view, line->hz * slip, share + speed_share(view, line));
    }
    return heard;
}

static int pwm_lines_heard(const struct family_view *view, double shift_hz)
{
    int heard = 0;
    for (size_t i = 0; i < view->naming->lines->count; i++) {
        const struct line *line = &view->naming->lines->items[i];
        heard += line->family == LINE_PWM && tone_on(view, line->hz + line->number * shift_hz, PWM_SHARE);
    }
    return heard;
}

/* The last blade line that the comb reaches without a gap. */
static int last_of_comb(const struct family_view *view)
{
    int last = 0;
    for (size_t i = 0; i < view->naming->lines->count; i++) {
        const struct line *line = &view->naming->lines->items[i]; /* by frequency */
        if (line->family == LINE_BLADE && line->number <= last + BLADE_GAP + 1 &&
            tone_on(view, line->hz, speed_share(view, line)))
            last = line->number;
    }
    return last;
}

struct family_view family_look(const struct tone *tones, size_t tone_count, const struct naming *naming)
{
    struct family_view view = { tones, tone_count, naming, 0, ABSENT };
    view.blade_last = last_of_comb(&view);
    int most = 0;
    for (size_t i = 0; i < naming->lines->count; i++) {
        const struct line *line = &naming->lines->items[i];
        if (line->family != LINE_PWM || (line->sideband != 0 && !is_given(naming->shaft_hz)))
            continue;
        for (size_t n = 0; n < tone_count; n++) {
            if (fabs(tones[n].hz - line->hz) > line->hz * line->own_tolerance_pct / 100)
                continue;
            double shift_hz = (tones[n].hz - line->hz) / line->number;
            int heard = pwm_lines_heard(&view, shift_hz);
            bool is_carrier = line->sideband == 0;
            if ((heard >= PWM_LINES_NEEDED || is_carrier) && heard > most) {
                most = heard;
                view.pwm_shift_hz = shift_hz;
            }
        }
    }
    return view;
}

double family_line_hz(const struct family_view *view, const struct line *line)
{
    return line->family == LINE_PWM ? line->hz + line->number * view->pwm_shift_hz : line->hz;
}

double family_width_hz(const struct family_view *view, const struct tone *tone, const struct line *line)
{
    double own_pct = line->family == LINE_PWM ? 100 * PWM_SHARE : line->own_tolerance_pct;
    double step_hz = view->naming->step_hz;
    /* The mains are sharp: a broad tone beside one of their multiples is something else. */
    double uncertainty_hz =
        line->family == LINE_MAINS ? fmin(tone->uncertainty_hz, MAINS_LINES * step_hz) : tone->uncertainty_hz;
    return speed_match_hz(uncertainty_hz, line->hz, speed_share(view, line), step_hz) + line->hz * own_pct / 100;
}

static bool is_heard_in_envelope(const struct family_view *view, const struct line *line, double slip)
{
    const struct envelope_report *envelope = view->naming->envelope;
    for (size_t i = 0; envelope && i < envelope->heard_count; i++) {
        const struct envelope_heard *heard = &envelope->heard[i];
        if (heard->part == line->part && fabs(heard->hz / heard->expected_hz / slip - 1) < ENVELOPE_SHARE)
            return true;
    }
    return false;
}

bool family_is_whole_order(double hz, double shaft_hz)
{
    double order = hz / shaft_hz;
    return fabs(order - round(order)) < 0.02;
}

/* Are the first `wanted` multiples of a part heard with one slip, none of them on a whole order of the rotor's shaft?
 */
static bool first_multiples(const struct family_view *view, int part, double slip, int wanted)
{
    int heard = 0;
    for (size_t i = 0; i < view->naming->lines->count; i++) {
        const struct line *line = &view->naming->lines->items[i];
        heard += line->part == part && line->number <= wanted && tone_on(view, line->hz * slip, SLIP_SHARE) &&
                 !family_is_whole_order(line->hz * slip, view->naming->shaft_hz);
    }
    return heard == wanted;
}

static bool supports_bearing(const struct family_view *view, const struct tone *tone, const struct line *line)
{
    double slip = tone->hz / line->hz, shaft_hz = view->naming->shaft_hz;
    if (family_is_whole_order(tone->hz, view->naming->shaft_hz))
        return false;
    if (first_multiples(view, line->part, slip, MULTIPLES_NEEDED) || is_heard_in_envelope(view, line, slip))
        return true;
    if (line->is_on_motor)
        shaft_hz *= view->naming->ratio;
    return first_multiples(view, line->part, slip, 2) && tone_on(view, tone->hz + shaft_hz, SLIP_SHARE) &&
           tone_on(view, tone->hz - shaft_hz, SLIP_SHARE);
}

/* How many other multiples of the mains than `line`, up to `last`, have a tone, their frequency `slip` times the
 * nominal one. A tone that is known well must lie near. */
static int mains_heard(const struct family_view *view, const struct line *line, double slip, int last)
{
    int heard = 0;
    for (size_t i = 0; i < view->naming->lines->count; i++) {
        const struct line *other = &view->naming->lines->items[i];
        if (other->part != line->part || other == line || other->number > last)
            continue;
        const struct tone *tone = tone_on(view, other->hz * slip, 0);
        heard += tone && fabs(tone->hz - other->hz * slip) <=
                             speed_match_hz(tone->uncertainty_hz, other->hz, 0, view->naming->step_hz);
    }
    return heard;
}

/* All multiples of the mains share one frequency, whatever it is: a tone whose frequency the others do not share is
 * none of them. A hum fades upward: without its first multiples there are no high ones. */
static bool supports_mains(const struct family_view *view, const struct tone *tone, const struct line *line)
{
    double slip = tone->hz / line->hz;
    int alike = mains_heard(view, line, slip, INT_MAX);
    bool is_high = line->number > MAINS_FREE;
    return alike >= mains_heard(view, line, 1, INT_MAX) &&
           (!is_high || (alike + 1 >= MULTIPLES_NEEDED && mains_heard(view, line, slip, MAINS_FREE) > 0));
}

static bool has_blade_neighbour(const struct family_view *view, const struct line *line)
{
    double spacing_hz = line->hz / line->number;
    for (int step = -2; step <= 2; step++)
        if (step != 0 && tone_on(view, (line->number + step) * spacing_hz, speed_share(view, line)))
            return true;
    return false;
}

bool family_supports(const struct family_view *view, const struct tone *tone, size_t index)
{
    const struct line *line = &view->naming->lines->items[index];
    switch (line->family) {
    case LINE_BLADE:
        return line->number <= BLADE_FREE || has_blade_neighbour(view, line);
    case LINE_SHAFT:
        return line->number <= SHAFT_FREE || lines_heard(view, line->part, 1, 0) > SHAFT_OTHERS;
    case LINE_MOTOR_SHAFT:
        return line->number <= MOTOR_SHAFT_FREE || lines_heard(view, line->part, 1, 0) > 1;
    case LINE_MAINS:
        return supports_mains(view, tone, line);
    case LINE_BEARING:
        return supports_bearing(view, tone, line);
    case LINE_PWM:
        return is_given(view->pwm_shift_hz);
    case LINE_BELT_MESH:
    case LINE_BELT_TURN:
    case LINE_GEAR_MESH:
    case LINE_MOTOR_ELECTRICAL:
    case LINE_MOTOR_COGGING:
        return true;
    }
    return true;
}

/* Level of the tone on the next line, or the one before, of the part that line number `line` belongs to; the noise in
 * `tone`'s own line where there is none, ABSENT where the part has no such line. */
static double neighbour_level_db(const struct family_view *view, const struct tone *tone, size_t line, bool is_after)
{
    const struct lines *lines = view->naming->lines;
    for (size_t i = line; is_after ? i + 1 < lines->count : i > 0;) {
        i = is_after ? i + 1 : i - 1;
        const struct line *other = &lines->items[i];
        if (other->part != lines->items[line].part)
            continue;
        const struct tone *there = tone_on(view, other->hz, speed_share(view, other));
        return there ? there->level_db : tone->level_db - tone->line_ratio_db;
    }
    return ABSENT;
}

/* Two side tones a turn of the belt away tell its mesh. */
static bool has_belt_sides(const struct family_view *view, const struct tone *tone, bool is_on_motor)
{
    for (size_t i = 0; i < view->naming->lines->count; i++) {
        const struct line *turn = &view->naming->lines->items[i];
        if (turn->family == LINE_BELT_TURN && turn->number == 1 && turn->is_on_motor == is_on_motor &&
            tone_on(view, tone->hz + turn->hz, 0) && tone_on(view, tone->hz - turn->hz, 0))
            return true;
    }
    return false;
}

double family_comb_cost(const struct family_view *view, const struct tone *tone, size_t index)
{
    const struct line *line = &view->naming->lines->items[index];
    bool is_comb = line->family == LINE_BLADE || line->family == LINE_SHAFT || line->family == LINE_MOTOR_SHAFT;
    if (line->family == LINE_BELT_MESH && has_belt_sides(view, tone, line->is_on_motor))
        return -COMB_COST_MOST;
    int strong = view->naming->strong_orders;
    bool is_rotor = line->family == LINE_BLADE || line->family == LINE_SHAFT;
    bool is_strong = is_rotor && strong > 0 && (int)round(line->rotor_order) % strong == 0;
    if (!is_comb || line->number <= 2 || is_strong)
        return 0;
    if (line->family == LINE_BLADE && line->number > view->blade_last)
        return COMB_COST_MOST;
    double before_db = neighbour_level_db(view, tone, index, false);
    double after_db = neighbour_level_db(view, tone, index, true);
    double excess_db = tone->level_db - fmax(before_db, after_db); /* fmax passes over an absent one */
    if (!is_given(excess_db))
        return 0;
    if (excess_db < COMB_STEP_DB)
        return -COMB_BONUS;
    return fmin((excess_db - COMB_STEP_DB) / COMB_STEP_DB, COMB_COST_MOST);
}
