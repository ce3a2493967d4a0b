/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/choice.h"

#include "base/absent.h"
#include "rotor/count.h"
#include "rotor/drive.h"
#include "rotor/hum.h"
#include "rotor/others.h"

#include <math.h>

#define UNIT_RPM 60.0         /* one turn a second: lines lie at their orders */
#define HIGHEST_ORDER 1000.0  /* of any part that is thought of */
#define NEAR_SHARE 0.003      /* of its frequency: a tone so near a line may be that part's, where the speed wanders */
#define FOREIGN_PER_DB 0.15   /* against a speed, of a tone without a part, above the noise in its critical band */
#define FOREIGN_MOST 4.0      /* at the most, each */
#define LOUD_PER_DB 0.3       /* less for a shaft order, of what it is louder than all blade lines */
#define OWN_EVIDENCE 2.5      /* of the comb itself */
#define CHOICE_MARGIN 2.0     /* over any other speed */
#define NO_SPEED_SCORE -1.0   /* of no speed at all: the comb is clear by itself already */
#define BROAD_MARGIN 1.0      /* where lines are broad: there the comb must look like a rotor's as well (wander.c) */
#define SAME_SPEED_SHARE 0.02 /* a comb so near is the same one with some lines mistaken */

static bool is_blade_line(const struct speed_question *question, const struct speed *speed, const struct tone *tone)
{
    double order = tone->hz / speed->shaft_hz;
    double line = fmax(round(order / question->blades), 1) * question->blades;
    return fabs(order - line) <=
           (NEAR_SHARE + 3 * question->place_share) * order + 3 * tone->uncertainty_hz / speed->shaft_hz;
}

/* What a tone beside the blade lines, the loudest of which is `blade_db`, says for or against a speed. */
static double tone_evidence(const struct speed_question *question, const struct lines *lines, const struct speed *speed,
                            double blade_db, const struct tone *tone)
{
    double speed_share = speed->uncertainty_hz / speed->shaft_hz, most = 0;
    bool is_near = false;
    for (size_t i = 0; i < lines->count; i++) {
        const struct line *line = &lines->items[i];
        if (line->is_minor || line->family == LINE_BLADE || !is_given(line->rotor_order))
            continue;
        bool is_halfway =
            line->family == LINE_SHAFT && question->blades > 2 && 2 * line->number % question->blades == 0;
        double line_hz = line->rotor_order * speed->shaft_hz, own_hz = line_hz * line->own_tolerance_pct / 100;
        double spread_hz = hypot(tone->uncertainty_hz, question->place_share * line_hz);
        double width_hz = own_hz + speed_match_hz(spread_hz, line_hz, speed_share, question->step_hz);
        double louder_db = line->family == LINE_SHAFT ? fmax(tone->level_db - blade_db, 0) : 0;
        double off_hz = fabs(tone->hz - line_hz);
        if (off_hz <= width_hz && !is_halfway) /* for a blade line of half the speed says as much */
            most = fmax(most, speed_line_gain(question, tone, width_hz) - LOUD_PER_DB * louder_db);
        is_near |= off_hz <= own_hz + NEAR_SHARE * line_hz + 3 * spread_hz;
    }
    return is_near ? most : -fmin(FOREIGN_PER_DB * fmax(tone->above_noise_db, 0), FOREIGN_MOST);
}

/* What all tones beside the blade lines say. */
static double drive_evidence(const struct speed_question *question, const struct lines *lines,
                             const struct speed *speed)
{
    double evidence = 0, blade_db = -HUGE_VAL;
    for (size_t i = 0; i < question->tone_count; i++)
        if (is_blade_line(question, speed, &question->tones[i]))
            blade_db = fmax(blade_db, question->tones[i].level_db);
    for (size_t i = 0; i < question->tone_count; i++) {
        const struct tone *tone = &question->tones[i];
        if (!hum_is_near(question, tone->hz) && !is_blade_line(question, speed, tone))
            evidence += tone_evidence(question, lines, speed, blade_db, tone);
    }
    return evidence;
}

/* Is half an order of the shaft heard where no part of the drive lies? A shaft of half the speed makes it, whose blades
 * are loaded twice a turn, or something loose: no one can tell. */
static bool is_half_heard(const struct speed_question *question, const struct lines *lines, const struct speed *speed)
{
    double hz = speed->shaft_hz / 2, share = speed->uncertainty_hz / speed->shaft_hz;
    double width_hz = speed_match_hz(0.2 * question->step_hz, hz, share, question->step_hz);
    const struct tone *tone = tone_nearest(question->tones, question->tone_count, hz, width_hz);
    for (size_t i = 0; tone && i < lines->count; i++) {
        const struct line *line = &lines->items[i];
        double own_share = NEAR_SHARE + line->own_tolerance_pct / 100;
        if (is_given(line->rotor_order) && fabs(line->rotor_order / 0.5 - 1) <= own_share)
            return false;
    }
    return tone && !hum_is_near(question, tone->hz);
}

bool speed_choose(const struct speed_question *question, const struct variant *variant, struct speed *out,
                  struct err *err)
{
    struct speed speeds[SPEEDS_MOST];
    double scores[SPEEDS_MOST], rival = NO_SPEED_SCORE;
    size_t count = speeds_from_tones(question, speeds), best = 0;
    double margin = question->place_share > 0 ? BROAD_MARGIN : CHOICE_MARGIN;
    struct lines lines = { 0 };
    *out = (struct speed){ ABSENT, ABSENT, 0, -HUGE_VAL };
    if (count == 0)
        return true;
    if (!drive_lines(variant, UNIT_RPM, 0, HIGHEST_ORDER, &lines, err))
        return false;
    for (size_t i = 0; i < count; i++) {
        count_settle_speed(question, &speeds[i]);
        scores[i] = speeds[i].evidence + drive_evidence(question, &lines, &speeds[i]);
        if (scores[i] > scores[best])
            best = i;
    }
    bool is_doubtful = is_half_heard(question, &lines, &speeds[best]);
    lines_clear(&lines);
    double same_share = variant->rotors > 1 ? OTHERS_REACH_PCT / 100 : SAME_SPEED_SHARE; /* which of them: others.h */
    for (size_t i = 0; i < count; i++)
        if (fabs(speeds[i].shaft_hz / speeds[best].shaft_hz - 1) > same_share)
            rival = fmax(rival, scores[i]);
    if (!is_doubtful && speeds[best].evidence >= OWN_EVIDENCE && scores[best] >= rival + margin)
        *out = speeds[best];
    return true;
}
