/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/naming.h"

#include "base/absent.h"
#include "rotor/speed.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { CANDIDATES_MAX = 12, RACE_MULTIPLES_NEEDED = 3 };

#define COMB_STEP_DB 8.0 /* between one line of a comb and the next; common practice */
#define COMB_BONUS 0.4

struct candidate {
    const struct line *line;
    double cost;
};

bool tone_is_blade(const struct tone *tone)
{
    return strncmp(tone->source, "blade ", 6) == 0;
}

bool tone_is_unexplained(const struct tone *tone)
{
    return strcmp(tone->source, "unexplained") == 0;
}

/* Of two parts that fit a tone equally well, which is it more often? Blades are the loudest part of any rotor; a tooth
 * mesh outranks a high shaft order, which some shaft order always fits. Common practice, no source. */
static double family_rank(enum line_family family)
{
    switch (family) {
    case LINE_BLADE:
        return 0;
    case LINE_BELT_MESH:
    case LINE_GEAR_MESH:
        return 0.3;
    case LINE_MAINS:
        return 0.5;
    case LINE_MOTOR_ELECTRICAL:
        return 0.6;
    case LINE_MOTOR_COGGING:
        return 0.7;
    case LINE_MOTOR_SHAFT:
        return 0.8;
    case LINE_SHAFT:
        return 0.8;
    case LINE_BELT_TURN:
        return 0.9;
    case LINE_BEARING:
        return 1.0;
    case LINE_PWM:
        return 1.1;
    }
    return 2;
}

static double line_width_hz(const struct naming *naming, const struct tone *tone, const struct line *line)
{
    double share = is_given(line->rotor_order) ? naming->shaft_uncertainty_hz / naming->shaft_hz : 0;
    return speed_match_hz(tone->uncertainty_hz, line->hz, share, naming->step_hz) +
           line->hz * line->own_tolerance_pct / 100;
}

/* Multiples of a bearing's part that are there with the slip that `tone` shows. */
static int multiples_with_slip(const struct tone *tones, size_t count, const struct naming *naming, int part,
                               double slip)
{
    int found = 0;
    for (size_t i = 0; i < naming->lines->count; i++) {
        const struct line *line = &naming->lines->items[i];
        if (line->part != part)
            continue;
        double hz = line->hz * slip;
        double width_hz = speed_match_hz(0.2 * naming->step_hz, hz, 0.0005, naming->step_hz);
        found += tone_nearest(tones, count, hz, width_hz) != NULL;
    }
    return found;
}

/* Level of the tone on the next line, or the one before, of the part that line number `line` belongs to; the noise in
 * `tone`'s own line where there is none, ABSENT where the part has no such line. */
static double neighbour_level_db(const struct tone *tones, size_t count, const struct naming *naming,
                                 const struct tone *tone, size_t line, bool is_after)
{
    const struct lines *lines = naming->lines;
    for (size_t i = line; is_after ? i + 1 < lines->count : i > 0;) {
        i = is_after ? i + 1 : i - 1;
        const struct line *other = &lines->items[i];
        if (other->part != lines->items[line].part)
            continue;
        double share = is_given(other->rotor_order) ? naming->shaft_uncertainty_hz / naming->shaft_hz : 0;
        double width_hz = speed_match_hz(0.2 * naming->step_hz, other->hz, share, naming->step_hz);
        const struct tone *there = tone_nearest(tones, count, other->hz, width_hz);
        return there ? there->level_db : tone->level_db - tone->line_ratio_db;
    }
    return ABSENT;
}

/* A comb's levels run on from line to line. A tone that stands high above its neighbours in the comb is likelier
 * another part that falls on the same frequency; one that lies among them belongs. */
static double comb_cost(const struct tone *tones, size_t count, const struct naming *naming, const struct tone *tone,
                        size_t index)
{
    const struct line *line = &naming->lines->items[index];
    bool is_comb = line->family == LINE_BLADE || line->family == LINE_SHAFT || line->family == LINE_MOTOR_SHAFT;
    if (!is_comb || line->number <= 2)
        return 0;
    double before_db = neighbour_level_db(tones, count, naming, tone, index, false);
    double after_db = neighbour_level_db(tones, count, naming, tone, index, true);
    double excess_db = tone->level_db - fmax(before_db, after_db); /* fmax passes over an absent one */
    if (!is_given(excess_db))
        return 0;
    if (excess_db < COMB_STEP_DB)
        return -COMB_BONUS;
    return fmin((excess_db - COMB_STEP_DB) / COMB_STEP_DB, 1.5);
}

static size_t list_candidates(const struct tone *tones, size_t count, const struct naming *naming,
                              const struct tone *tone, struct candidate *candidates)
{
    size_t found = 0;
    for (size_t i = 0; i < naming->lines->count && found < CANDIDATES_MAX; i++) {
        const struct line *line = &naming->lines->items[i];
        if (!is_given(naming->shaft_hz) && is_given(line->rotor_order))
            continue;
        double width_hz = line_width_hz(naming, tone, line), off_hz = fabs(tone->hz - line->hz);
        if (off_hz > width_hz)
            continue;
        if (line->family == LINE_BEARING &&
            multiples_with_slip(tones, count, naming, line->part, tone->hz / line->hz) < RACE_MULTIPLES_NEEDED)
            continue;
        double cost = off_hz / width_hz + family_rank(line->family) + 0.01 * line->number;
        candidates[found++] = (struct candidate){ line, cost + comb_cost(tones, count, naming, tone, i) };
    }
    for (size_t i = 1; i < found; i++)
        for (size_t n = i; n > 0 && candidates[n].cost < candidates[n - 1].cost; n--) {
            struct candidate swap = candidates[n];
            candidates[n] = candidates[n - 1];
            candidates[n - 1] = swap;
        }
    return found;
}

static void tell_nearest(struct tone *tone, const struct naming *naming)
{
    if (!is_given(naming->shaft_hz))
        return;
    double order = tone->hz / naming->shaft_hz;
    if (is_given(naming->ratio) && naming->ratio != 1)
        snprintf(tone->remark, sizeof tone->remark, "nearest: rotor shaft order %.3f, motor shaft order %.3f", order,
                 order / naming->ratio);
    else
        snprintf(tone->remark, sizeof tone->remark, "nearest: shaft order %.3f", order);
}

static void take_source(struct tone *tone, const struct candidate *candidates, size_t count)
{
    const struct line *line = candidates[0].line;
    snprintf(tone->source, sizeof tone->source, "%s", line->source);
    tone->expected_hz = line->hz;
    if (line->sideband != 0)
        snprintf(tone->remark, sizeof tone->remark, "sideband of pwm %d, %+d x motor electrical", line->number,
                 line->sideband);
    tone->alternative_count = 0;
    for (size_t i = 1; i < count && tone->alternative_count < ALTERNATIVES_MAX; i++)
        if (strcmp(candidates[i].line->source, line->source) != 0)
            snprintf(tone->alternatives[tone->alternative_count++], SOURCE_TEXT_MAX, "%s", candidates[i].line->source);
}

void tones_name(struct tone *tones, size_t count, const struct naming *naming)
{
    for (size_t i = 0; i < count; i++) {
        struct candidate candidates[CANDIDATES_MAX];
        struct tone *tone = &tones[i];
        tone->shaft_order = tone->hz / naming->shaft_hz;
        size_t found = list_candidates(tones, count, naming, tone, candidates);
        if (found > 0)
            take_source(tone, candidates, found);
        else
            tell_nearest(tone, naming);
    }
}
