/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/naming.h"

#include "base/absent.h"
#include "rotor/family.h"
#include "rotor/speed.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CANDIDATES_MAX = 12, SIDEBAND_MOST = 3, SPACINGS_MAX = 4, RACE_LEAST = 3, RACE_MULTIPLES = 60 };

#define SIDEBAND_SHARE 0.0002
#define RACE_SHARE 0.0002 /* strokes come unevenly: high multiples of a race lie beside their place */

struct candidate {
    const struct line *line;
    double hz, misfit, cost;
};

bool tone_is_of(const struct tone *tone, const char *part)
{
    size_t length = strlen(part);
    return strncmp(tone->source, part, length) == 0 && tone->source[length] == ' ';
}

bool tone_is_blade(const struct tone *tone)
{
    return tone_is_of(tone, "blade");
}

bool tone_is_unexplained(const struct tone *tone)
{
    return strcmp(tone->source, "unexplained") == 0;
}

/* Of two parts that fit a tone equally well, which is it more often? Blades are the loudest part of any rotor; a tooth
 * mesh outranks a high shaft order, which some shaft order always fits. What the rotor's known speed explains as well
 * is not called the mains. Common practice, no source. */
static double family_rank(enum line_family family)
{
    switch (family) {
    case LINE_BLADE:
        return 0;
    case LINE_BELT_MESH:
    case LINE_GEAR_MESH:
        return 0.3;
    case LINE_MOTOR_ELECTRICAL:
        return 0.6;
    case LINE_MOTOR_COGGING:
        return 0.7;
    case LINE_MOTOR_SHAFT:
    case LINE_SHAFT:
        return 0.8;
    case LINE_BELT_TURN:
    case LINE_MAINS:
        return 0.9;
    case LINE_BEARING:
        return 1.0;
    case LINE_PWM:
        return 1.1;
    }
    return 2;
}

static size_t list_candidates(const struct family_view *view, const struct tone *tone, struct candidate *candidates)
{
    size_t found = 0;
    const struct lines *lines = view->naming->lines;
    for (size_t i = 0; i < lines->count && found < CANDIDATES_MAX; i++) {
        const struct line *line = &lines->items[i];
        if (!is_given(view->naming->shaft_hz) && (is_given(line->rotor_order) || line->sideband != 0))
            continue;
        double hz = family_line_hz(view, line), width_hz = family_width_hz(view, tone, line);
        double misfit = fabs(tone->hz - hz) / width_hz;
        if (!(misfit <= 1) || !family_supports(view, tone, i))
            continue;
        double cost = misfit + family_rank(line->family) + 0.01 * line->number + family_comb_cost(view, tone, i);
        candidates[found++] = (struct candidate){ line, hz, misfit, cost };
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
    tone->expected_hz = candidates[0].hz;
    tone->misfit = candidates[0].misfit;
    if (line->sideband != 0)
        snprintf(tone->remark, sizeof tone->remark, "sideband of pwm %d, %+d x motor electrical", line->number,
                 line->sideband);
    tone->alternative_count = 0;
    for (size_t i = 1; i < count && tone->alternative_count < ALTERNATIVES_MAX; i++)
        if (strcmp(candidates[i].line->source, line->source) != 0)
            snprintf(tone->alternatives[tone->alternative_count++], SOURCE_TEXT_MAX, "%s", candidates[i].line->source);
}

/* Is `tone` at `parent` plus `turns` times `spacing_hz`? A first sideband may stand alone; others need their mirror. */
static bool is_sideband(const struct tone *tones, size_t count, const struct naming *naming, const struct tone *tone,
                        const struct tone *parent, double spacing_hz, int turns)
{
    double hz = parent->hz + turns * spacing_hz;
    double width_hz = 2 * (tone->uncertainty_hz + parent->uncertainty_hz) + SIDEBAND_SHARE * fabs(turns * spacing_hz) +
                      0.05 * naming->step_hz;
    if (fabs(tone->hz - hz) > width_hz)
        return false;
    double mirror_hz = parent->hz - turns * spacing_hz;
    return abs(turns) == 1 || tone_nearest(tones, count, mirror_hz, width_hz + 0.2 * naming->step_hz) != NULL;
}

/* The multiples of a race that is struck go on as far as what it strikes rings, up to many more than one looks for
 * beforehand. */
struct race {
    const struct line *first;
    double sum_hz, sum_numbers; /* of its tones: their ratio is how often it is struck */
    int heard;
};

static double race_hz(const struct race *race)
{
    return race->sum_hz / race->sum_numbers;
}

static void race_add(struct race *race, const struct tone *tone, double number)
{
    race->sum_hz += tone->hz;
    race->sum_numbers += number;
    race->heard++;
}

static struct race race_of(const struct line *first, const struct tone *tones, size_t count)
{
    struct race race = { .first = first };
    for (size_t i = 0; i < count; i++) {
        double number = round(tones[i].expected_hz / first->hz);
        if (strncmp(tones[i].source, first->source, strlen(first->source) - 1) == 0)
            race_add(&race, &tones[i], number);
    }
    return race;
}

/* Unexplained tones on higher multiples, upward, so that each makes the next one's place surer. */
static void name_multiples(struct race *race, struct tone *tones, size_t count, const struct naming *naming)
{
    for (size_t i = 0; i < count; i++) {
        struct tone *tone = &tones[i];
        double number = round(tone->hz / race_hz(race)), hz = number * race_hz(race);
        double width_hz = speed_match_hz(tone->uncertainty_hz, hz, RACE_SHARE, naming->step_hz);
        if (!tone_is_unexplained(tone) || number < 1 || number > RACE_MULTIPLES || fabs(tone->hz - hz) > width_hz)
            continue;
        snprintf(tone->source, sizeof tone->source, "%.*s%.0f", (int)strlen(race->first->source) - 1,
                 race->first->source, number);
        tone->expected_hz = hz;
        tone->misfit = fabs(tone->hz - hz) / width_hz;
        race_add(race, tone, number);
    }
}

static void name_races(struct tone *tones, size_t count, const struct naming *naming)
{
    for (size_t i = 0; i < naming->lines->count; i++) {
        const struct line *line = &naming->lines->items[i];
        if (line->family != LINE_BEARING || line->number != 1)
            continue;
        struct race race = race_of(line, tones, count);
        if (race.heard >= RACE_LEAST)
            name_multiples(&race, tones, count, naming);
    }
}

struct spacing {
    const char *name;
    double hz;
};

/* Turns that side tones are a whole number of apart: of the shafts, and of the belt as either wheel drives it. */
static size_t list_spacings(const struct naming *naming, struct spacing spacings[SPACINGS_MAX])
{
    size_t count = 0;
    spacings[count++] = (struct spacing){ "rotor shaft", naming->shaft_hz };
    if (naming->ratio != 1)
        spacings[count++] = (struct spacing){ "motor shaft", naming->shaft_hz * naming->ratio };
    for (size_t i = 0; i < naming->lines->count && count < SPACINGS_MAX; i++)
        if (naming->lines->items[i].family == LINE_BELT_TURN && naming->lines->items[i].number == 1)
            spacings[count++] = (struct spacing){ "belt turn", naming->lines->items[i].hz };
    return count;
}

static bool take_sideband(struct tone *tones, size_t count, const struct naming *naming, struct tone *tone)
{
    struct spacing spacings[SPACINGS_MAX];
    size_t spacing_count = is_given(naming->shaft_hz) ? list_spacings(naming, spacings) : 0;
    for (size_t s = 0; s < spacing_count; s++)
        for (size_t i = 0; i < count && is_given(spacings[s].hz); i++) {
            const struct tone *parent = &tones[i];
            double turns = round((tone->hz - parent->hz) / spacings[s].hz);
            if (parent == tone || tone_is_unexplained(parent) || tone_is_of(parent, "mains") ||
                parent->level_db <= tone->level_db || parent->remark[0] != '\0' || turns == 0 ||
                fabs(turns) > SIDEBAND_MOST ||
                !is_sideband(tones, count, naming, tone, parent, spacings[s].hz, (int)turns))
                continue;
            snprintf(tone->source, sizeof tone->source, "%s", parent->source);
            snprintf(tone->remark, sizeof tone->remark, "sideband of %s, %+d x %s", parent->source, (int)turns,
                     spacings[s].name);
            tone->expected_hz = parent->hz + turns * spacings[s].hz;
            return true;
        }
    return false;
}

static void forget_name(struct tone *tone)
{
    snprintf(tone->source, sizeof tone->source, "unexplained");
    tone->expected_hz = tone->misfit = ABSENT;
    tone->alternative_count = 0;
    tone->remark[0] = '\0';
}

/* Says of a line on the motor's shaft by how much the motor slips. */
static void tell_slip(struct tone *tone, const struct naming *naming)
{
    const struct lines *lines = naming->lines;
    for (size_t i = 0; i < lines->count && tone->remark[0] == '\0'; i++)
        if (lines->items[i].is_on_motor && lines->items[i].hz == tone->expected_hz &&
            strcmp(lines->items[i].source, tone->source) == 0)
            snprintf(tone->remark, sizeof tone->remark, "slip, or a wrong ratio, of %.2f %%", naming->slip_pct);
}

void tones_name(struct tone *tones, size_t count, const struct naming *naming)
{
    const struct family_view view = family_look(tones, count, naming);
    for (size_t i = 0; i < count; i++) {
        struct candidate candidates[CANDIDATES_MAX];
        forget_name(&tones[i]);
        tones[i].shaft_order = tones[i].hz / naming->shaft_hz;
        size_t found = list_candidates(&view, &tones[i], candidates);
        if (found > 0)
            take_source(&tones[i], candidates, found);
    }
    name_races(tones, count, naming);
    for (size_t i = 0; i < count; i++)
        if (tone_is_unexplained(&tones[i]) && !take_sideband(tones, count, naming, &tones[i]))
            tell_nearest(&tones[i], naming);
    for (size_t i = 0; i < count && naming->slip_pct != 0; i++)
        tell_slip(&tones[i], naming);
}
