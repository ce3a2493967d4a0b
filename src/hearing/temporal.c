/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/temporal.h"

#include "base/clones.h"
#include "base/lanes.h"
#include "hearing/loudness_bands.h"

#include <math.h>
#include <string.h>

#define STEP_S (1.0 / LOUDNESS_FRAMES_PER_S)
#define WEIGHTING_STEP_S (2 * STEP_S)
#define SHORT_S 0.005
#define LONG_S 0.015
#define VARIABLE_S 0.075

/* On falling input, while the held value u1 is above the slow one u2:
 *   u1' = -u1/Ts - b (u1 - u2),  u2' = (u1 - u2)/Tv,  b = (Tl - Ts)/(Tv Ts).
 * The exponential of that matrix over one step, by its eigenvalues (real, since the off-diagonals have one sign). */
void core_decay_init(struct core_decay *decay)
{
    *decay = (struct core_decay){ .long_decay = exp(-STEP_S / LONG_S), .charge = exp(-STEP_S / VARIABLE_S) };
    double b = (LONG_S - SHORT_S) / (VARIABLE_S * SHORT_S);
    double m11 = -1 / SHORT_S - b, m12 = b, m21 = 1 / VARIABLE_S, m22 = -1 / VARIABLE_S;
    double middle = (m11 + m22) / 2, root = sqrt((m11 - m22) * (m11 - m22) / 4 + m12 * m21);
    double even = exp(middle * STEP_S) * cosh(root * STEP_S), odd = exp(middle * STEP_S) * sinh(root * STEP_S) / root;
    decay->hold_hold = even + odd * (m11 - middle);
    decay->hold_slow = odd * m12;
    decay->slow_hold = odd * m21;
    decay->slow_slow = even + odd * (m22 - middle);
}

/* Falling input: both discharge, the held value not below the input nor the slow one above the held one. Rising: the
 * held value follows at once and the slow one charges towards the input. */
WITH_CLONES void core_decay_step(struct core_decay *decay, double *core)
{
    for (int i = 0; i < TEMPORAL_LANES; i += LANES) {
        lanes input, held, slow;
        memcpy(&input, core + i, sizeof input);
        memcpy(&held, decay->held + i, sizeof held);
        memcpy(&slow, decay->slow + i, sizeof slow);
        lanes_mask is_coupled = held > slow, is_falling = input<held, is_charging = input> slow;
        lanes discharged = decay->hold_hold * held + decay->hold_slow * slow;
        lanes refilled = decay->slow_hold * held + decay->slow_slow * slow;
        /* where the two meet within the step: straight until then, both with the long time from then on */
        lanes before = held - slow, after = discharged - refilled, met = before / (before - after);
        lanes meeting = (slow + met * (refilled - slow)) * (1 - (1 - met) * (1 - decay->long_decay));
        lanes_mask is_meeting = is_coupled & (after < 0);
        refilled = LANES_SELECT(is_meeting, meeting, refilled);
        discharged = LANES_SELECT(is_meeting, meeting, discharged);
        discharged = LANES_SELECT(is_coupled, discharged, held * decay->long_decay);
        lanes fallen = LANES_SELECT(input > discharged, input, discharged);
        lanes refilled_slow = LANES_SELECT(refilled < fallen, refilled, fallen);
        lanes slow_fallen = LANES_SELECT(is_coupled, refilled_slow, fallen);
        lanes slow_risen = LANES_SELECT(is_charging, input + (slow - input) * decay->charge, input);
        held = LANES_SELECT(is_falling, fallen, input);
        slow = LANES_SELECT(is_falling, slow_fallen, slow_risen);
        memcpy(core + i, &held, sizeof held);
        memcpy(decay->held + i, &held, sizeof held);
        memcpy(decay->slow + i, &slow, sizeof slow);
    }
}

void duration_weighting_init(struct duration_weighting *weighting)
{
    *weighting = (struct duration_weighting){ 0 };
}

/* First-order low-pass, exact for an input that goes straight from `last` to `next` within the step. */
static double low_pass(double state, double last, double next, double tau_s)
{
    double keep = exp(-WEIGHTING_STEP_S / tau_s), lag = (next - last) * tau_s / WEIGHTING_STEP_S;
    return next - lag + (state - last + lag) * keep;
}

double duration_weighting_step(struct duration_weighting *weighting, double sone)
{
    weighting->fast = low_pass(weighting->fast, weighting->last, sone, 0.0035);
    weighting->slow = low_pass(weighting->slow, weighting->last, sone, 0.070);
    weighting->last = sone;
    return 0.47 * weighting->fast + 0.53 * weighting->slow;
}
