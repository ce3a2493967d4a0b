/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/temporal.h"

#include "hearing/loudness_bands.h"

#include <math.h>

#define STEP_S (1.0 / LOUDNESS_FRAMES_PER_S)
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

void core_decay_step(struct core_decay *decay, double *core)
{
    for (int i = 0; i < TEMPORAL_LANES; i++) {
        double input = core[i], held = decay->held[i], slow = decay->slow[i];
        /* falling: both discharge */
        double both_held = decay->hold_hold * held + decay->hold_slow * slow;
        double both_slow = decay->slow_hold * held + decay->slow_slow * slow;
        double fallen = held > slow ? both_held : held * decay->long_decay;
        double next_held = input > fallen ? input : fallen;
        double fallen_slow = held > slow ? both_slow : next_held;
        fallen_slow = fallen_slow < next_held ? fallen_slow : next_held;
        /* rising: the slow one charges towards the input */
        double charged = input + (slow - input) * decay->charge;
        double risen_slow = input > slow ? charged : input;
        decay->slow[i] = input < held ? fallen_slow : risen_slow;
        decay->held[i] = input < held ? next_held : input;
        core[i] = decay->held[i];
    }
}

void duration_weighting_init(struct duration_weighting *weighting)
{
    *weighting = (struct duration_weighting){ 0 };
}

/* First-order low-pass, exact for an input that goes straight from `last` to `next` within the step. */
static double low_pass(double state, double last, double next, double tau_s)
{
    double keep = exp(-STEP_S / tau_s), lag = (next - last) * tau_s / STEP_S;
    return next - lag + (state - last + lag) * keep;
}

double duration_weighting_step(struct duration_weighting *weighting, double sone)
{
    weighting->fast = low_pass(weighting->fast, weighting->last, sone, 0.0035);
    weighting->slow = low_pass(weighting->slow, weighting->last, sone, 0.070);
    weighting->last = sone;
    return 0.47 * weighting->fast + 0.53 * weighting->slow;
}
