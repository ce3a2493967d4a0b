/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/hum.h"

#include "base/absent.h"

#include <math.h>

enum { MULTIPLES = 16, COMB_MULTIPLES = 8 }; /* a hum fades upward: no comb of its own starts higher */

#define SHARE 0.001       /* a tone this near a multiple of the mains is likely the mains */
#define COMB_SHARE 0.0015 /* and a comb, whose spacing is less well known at first */
#define WIDTH_LINES 0.1

static double mains_hz(const struct speed_question *question, int which)
{
    if (is_given(question->mains_hz))
        return question->mains_hz;
    return which == 0 ? 50 : 60;
}

static double width_hz(const struct speed_question *question, double hz)
{
    return SHARE * hz + WIDTH_LINES * question->step_hz;
}

bool hum_is_near(const struct speed_question *question, double hz)
{
    for (int which = 0; which < 2; which++) {
        double multiple = round(hz / mains_hz(question, which));
        if (multiple >= 1 && multiple <= MULTIPLES &&
            fabs(hz - multiple * mains_hz(question, which)) < width_hz(question, hz))
            return true;
    }
    return false;
}

static bool hums_between(const struct speed_question *question, double base_hz, int every)
{
    for (int multiple = 1; multiple <= MULTIPLES; multiple++) {
        double hz = multiple * base_hz;
        if (multiple % every != 0 && tone_nearest(question->tones, question->tone_count, hz, width_hz(question, hz)))
            return true;
    }
    return false;
}

enum hum_role hum_role(const struct speed_question *question, double spacing_hz)
{
    enum hum_role role = HUM_PARTS;
    for (int which = 0; which < 2; which++) {
        double base_hz = mains_hz(question, which), every = round(spacing_hz / base_hz);
        if (every < 1 || every > COMB_MULTIPLES || fabs(spacing_hz - every * base_hz) > COMB_SHARE * spacing_hz)
            continue;
        /* A comb on every multiple can't be told from a hum by what lies between. */
        if (every < 2 || hums_between(question, base_hz, (int)every))
            return HUM_ALL;
        role = HUM_NONE;
    }
    return role;
}
