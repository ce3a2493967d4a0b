/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/slip.h"

#include "base/absent.h"
#include "rotor/speed.h"

#include <math.h>
#include <stdbool.h>

#define LONE_LINE_DB 20.0
#define EXACT_SHARE 0.0005 /* nearer to the ratio than this there is no slip to tell */

/* Is the tone already another part's, by a name that a motor line at this place would not have had? */
static bool is_free(const struct tone *tone)
{
    return tone_is_unexplained(tone) || tone_is_of(tone, "motor shaft") || tone_is_of(tone, "motor electrical") ||
           tone_is_of(tone, "motor cogging");
}

/* A whole order of the rotor's shaft tells nothing about the motor. */
static bool is_rotor_order(double hz, const struct naming *naming)
{
    double order = hz / naming->shaft_hz;
    return order < 60 && fabs(order - round(order)) * naming->shaft_hz < 0.0005 * hz + 0.3 * naming->step_hz;
}

static const struct tone *motor_tone(const struct tone *tones, size_t count, const struct naming *naming, double hz)
{
    double width_hz = speed_match_hz(0.2 * naming->step_hz, hz, EXACT_SHARE / 3, naming->step_hz);
    const struct tone *tone = tone_nearest(tones, count, hz, width_hz);
    return tone && is_free(tone) && !is_rotor_order(tone->hz, naming) ? tone : NULL;
}

struct motor_heard motor_listen(const struct variant *variant, const struct tone *tones, size_t tone_count,
                                const struct naming *naming)
{
    const int pole_pairs = variant->motor_pole_pairs;
    const int orders[] = { 1, 2, pole_pairs, 2 * pole_pairs, 4 * pole_pairs, 6 * pole_pairs, 12 * pole_pairs };
    const size_t order_count = pole_pairs > 0 ? sizeof orders / sizeof *orders : 2;
    struct motor_heard best = { ABSENT, ABSENT, 0 };
    double best_db = 0, nominal_hz = naming->shaft_hz * naming->ratio;
    for (size_t i = 0; i < tone_count && is_given(nominal_hz); i++) {
        if (!is_free(&tones[i]) || is_rotor_order(tones[i].hz, naming))
            continue;
        for (size_t o = 0; o < order_count; o++) {
            double motor_hz = tones[i].hz / orders[o], sum_db = 0;
            int lines = 0;
            if (fabs(motor_hz / nominal_hz - 1) > SLIP_REACH_PCT / 100)
                continue;
            for (size_t n = 0; n < order_count; n++) {
                const struct tone *tone = motor_tone(tones, tone_count, naming, motor_hz * orders[n]);
                lines += tone != NULL;
                sum_db += tone ? tone->line_ratio_db : 0;
            }
            bool is_lone = lines == 1 && orders[o] >= pole_pairs && pole_pairs > 0 &&
                           tones[i].line_ratio_db >= LONE_LINE_DB && !tone_is_unexplained(&tones[i]);
            if ((lines < 2 && !is_lone) || sum_db <= best_db)
                continue;
            best_db = sum_db;
            best = (struct motor_heard){ motor_hz, tones[i].uncertainty_hz / orders[o], lines };
        }
    }
    return best;
}
