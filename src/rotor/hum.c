/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/hum.h"

#include "base/absent.h"
#include "rotor/tone.h"

#include <math.h>

enum {
    MULTIPLES = 16,
    COMB_MULTIPLES = 8, /* a hum fades upward: no comb of its own starts higher */
    CONTRAST_EVERY = 3,
    BROAD_NEEDED = 2,
};

#define SHARE 0.001       /* a tone this near a multiple of the mains is likely the mains */
#define COMB_SHARE 0.0015 /* and a comb, whose spacing is less well known at first */
#define WIDTH_LINES 0.1
#define CONTRAST_DB 10.0 /* of a comb's own multiples over those between */
#define UNHEARD_DB 3.0   /* a multiple that is not among the tones */
#define CLEAR_DB 12.0    /* a tone that stands so far out of its line shows how broad it is */

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

/* What lies on the multiples of the mains: of a comb on every `every`th, and between. */
struct multiples {
    int between, clear, broad;
    double own_db, between_db;           /* mean heights */
    double own_most_db, between_most_db; /* above the noise in the critical band */
};

static struct multiples list_multiples(const struct speed_question *question, double base_hz, int every)
{
    struct multiples multiples = { .own_most_db = -HUGE_VAL, .between_most_db = -HUGE_VAL };
    int own = MULTIPLES / every;
    for (int multiple = 1; multiple <= MULTIPLES; multiple++) {
        double hz = multiple * base_hz;
        const struct tone *tone = tone_nearest(question->tones, question->tone_count, hz, width_hz(question, hz));
        double height_db = tone ? tone->line_ratio_db : UNHEARD_DB;
        double above_db = tone ? tone->above_noise_db : -HUGE_VAL;
        if (multiple % every != 0) {
            multiples.between_most_db = fmax(multiples.between_most_db, above_db);
            multiples.between += tone != NULL;
            multiples.between_db += height_db / (MULTIPLES - own);
            continue;
        }
        multiples.own_db += height_db / own;
        multiples.own_most_db = fmax(multiples.own_most_db, above_db);
        multiples.clear += height_db >= CLEAR_DB;
        multiples.broad += height_db >= CLEAR_DB && tone->uncertainty_hz > TONE_STEADY_LINES * question->step_hz;
    }
    return multiples;
}

static bool is_of_mains(const struct speed_question *question, double base_hz, int every)
{
    struct multiples multiples = list_multiples(question, base_hz, every);
    if (multiples.broad >= BROAD_NEEDED && 2 * multiples.broad > multiples.clear)
        return false;
    if (every < 2) /* can't be told from a hum by what lies between */
        return true;
    bool stands_out = every >= CONTRAST_EVERY && multiples.own_db - multiples.between_db >= CONTRAST_DB &&
                      multiples.own_most_db > multiples.between_most_db;
    return multiples.between > 0 && !stands_out;
}

enum hum_role hum_role(const struct speed_question *question, double spacing_hz)
{
    enum hum_role role = HUM_PARTS;
    for (int which = 0; which < 2; which++) {
        double base_hz = mains_hz(question, which), every = round(spacing_hz / base_hz);
        if (every < 1 || every > COMB_MULTIPLES || fabs(spacing_hz - every * base_hz) > COMB_SHARE * spacing_hz)
            continue;
        if (is_of_mains(question, spacing_hz / every, (int)every))
            return question->is_rotor ? HUM_NONE : HUM_ALL;
        role = HUM_NONE;
    }
    return role;
}
