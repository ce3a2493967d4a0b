/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/count.h"

#include "base/absent.h"

#include <math.h>

enum { ORDERS_MOST = 36, MULTIPLES_LEAST = 2, GROUPS = 4, GROUPS_SURE = 2, FAILED_MOST = 2 };

#define SETTLE_DB 6.0    /* lines of one comb do not alternate by as much; common practice, no source */
#define NEAR_SHARE 0.012 /* of its frequency that a tone of a wandering speed lies beside its order; as in wander.c */
#define SLOW_DB 12.0     /* of a line: a tone that is clear; common practice */
#define UNHEARD_DB 3.0   /* an order that is not among the tones */

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

/* Level of the loudest tone near an order's place: a broad line shows as several. -HUGE_VAL without one. */
static double order_level_db(const struct speed_question *question, double hz)
{
    double level_db = -HUGE_VAL;
    for (size_t i = 0; i < question->tone_count; i++)
        if (fabs(question->tones[i].hz - hz) <= NEAR_SHARE * hz + 0.5 * question->step_hz)
            level_db = fmax(level_db, question->tones[i].level_db);
    return level_db;
}

/* How far the comb's `every`th line stands above those before it; -HUGE_VAL where the second such line does not stand
 * above those between, or two of the next, as far as any are heard: another part's tone may lie between (of every
 * second, one is enough: between them lies one line only). */
static double alternation_db(const struct speed_question *question, double spacing_hz, int every)
{
    double first_db = -HUGE_VAL;
    int failed = 0;
    for (int group = 0; group < GROUPS; group++) {
        int last = (group + 1) * every;
        double own_db = order_level_db(question, last * spacing_hz), others_db = -HUGE_VAL;
        for (int order = group * every + 1; order < last; order++)
            others_db = fmax(others_db, order_level_db(question, order * spacing_hz));
        bool is_silent = group >= GROUPS_SURE && !isfinite(own_db) && !isfinite(others_db);
        failed += !is_silent && !(own_db > others_db) ? (group < GROUPS_SURE || every == 2 ? FAILED_MOST : 1) : 0;
        if (group == 0)
            first_db = own_db - others_db;
    }
    return failed < FAILED_MOST ? first_db : -HUGE_VAL;
}

void count_settle_speed(const struct speed_question *question, struct speed *speed)
{
    double spacing_hz = speed->shaft_hz * question->blades, most_db = SETTLE_DB;
    int best = 1;
    for (int divisor = 2; divisor <= question->blades; divisor++) {
        if (question->blades % divisor != 0 || is_slow_heard(question, speed, divisor))
            continue;
        double above_db = alternation_db(question, spacing_hz, divisor);
        if (above_db > most_db) {
            most_db = above_db;
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
