/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/count.h"

#include "base/absent.h"

#include <math.h>

enum { ORDERS_MOST = 36, MULTIPLES_LEAST = 2 };

#define SETTLE_DB 6.0  /* lines of one comb do not alternate by as much; common practice, no source */
#define SLOW_DB 12.0   /* of a line: a tone that is clear; common practice */
#define UNHEARD_DB 3.0 /* an order that is not among the tones */

static const struct tone *order_tone(const struct speed_question *question, double spacing_hz, double uncertainty_hz,
                                     int order)
{
    double hz = order * spacing_hz;
    double width_hz = speed_match_hz(0.2 * question->step_hz, hz, uncertainty_hz / spacing_hz, question->step_hz);
    return tone_nearest(question->tones, question->tone_count, hz, width_hz);
}

double count_contrast_db(const struct speed_question *question, double spacing_hz, double uncertainty_hz, int count)
{
    double multiples_db = 0, others_db = 0, height_db[ORDERS_MOST + 1];
    int multiples = 0, others = 0, heard = 0, last = 0;
    for (int order = 1; order <= ORDERS_MOST && order * spacing_hz < question->highest_tone_hz; order++) {
        const struct tone *tone = order_tone(question, spacing_hz, uncertainty_hz, order);
        height_db[order] = tone ? tone->line_ratio_db : UNHEARD_DB;
        if (tone)
            last = order;
    }
    for (int order = 1; order <= last; order++) {
        if (order % count == 0) {
            multiples_db += height_db[order];
            multiples++;
            heard += height_db[order] > UNHEARD_DB;
        } else {
            others_db += height_db[order];
            others++;
        }
    }
    if (heard < MULTIPLES_LEAST || others == 0)
        return ABSENT;
    return multiples_db / multiples - others_db / others;
}

struct count_heard count_from_orders(const struct speed_question *question, const struct speed *speed)
{
    struct count_heard best = { 0, ABSENT };
    for (int count = 2; count <= COUNT_MOST; count++) {
        double contrast_db = count_contrast_db(question, speed->shaft_hz, speed->uncertainty_hz, count);
        if (is_given(contrast_db) && (best.count == 0 || contrast_db > best.contrast_db))
            best = (struct count_heard){ count, contrast_db };
    }
    return best;
}

/* Is an order of a shaft heard that one turning `divisor` times as fast can't make? */
static bool is_slow_heard(const struct speed_question *question, const struct speed *speed, int divisor)
{
    for (int order = 1; order < question->blades; order++) {
        const struct tone *tone = order_tone(question, speed->shaft_hz, speed->uncertainty_hz, order);
        if (order % divisor != 0 && tone && tone->line_ratio_db >= SLOW_DB)
            return true;
    }
    return false;
}

void count_settle_speed(const struct speed_question *question, struct speed *speed)
{
    double spacing_hz = speed->shaft_hz * question->blades, spread_hz = speed->uncertainty_hz * question->blades;
    int best = 1;
    double most_db = SETTLE_DB;
    for (int divisor = 2; divisor <= question->blades; divisor++) {
        if (question->blades % divisor != 0 || is_slow_heard(question, speed, divisor))
            continue;
        double contrast_db = count_contrast_db(question, spacing_hz, spread_hz, divisor);
        if (contrast_db > most_db) {
            most_db = contrast_db;
            best = divisor;
        }
    }
    speed->shaft_hz *= best;
    speed->uncertainty_hz *= best;
}

struct speed count_search(const struct speed_question *question, int *count)
{
    struct speed best = { ABSENT, ABSENT, 0, -HUGE_VAL };
    struct speed_question trial = *question;
    trial.search_pct = question->log_tolerance_pct;
    for (trial.blades = 1; trial.blades <= COUNT_MOST; trial.blades++) {
        struct speed speed = speed_from_tones(&trial);
        speed.evidence -= log(COUNT_MOST); /* as many counts were tried */
        if (is_given(speed.shaft_hz) && speed.evidence > best.evidence) {
            best = speed;
            *count = trial.blades;
        }
    }
    return best;
}
