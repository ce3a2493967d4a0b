/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/coincide.h"

#include "base/absent.h"
#include "base/memory.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAINS_TOLD = 8, SHAFT_TOLD = 2 }; /* multiples that a hum and a shaft are loud at; common practice */

#define EQUAL_ORDERS 1e-9 /* share by which equal orders may differ in arithmetic */

static bool is_fixed(const struct line *line)
{
    return !is_given(line->rotor_order);
}

/* Shaft lines whose orders differ can be told apart by their orders once they are a few lines of the spectrum apart; a
 * bearing's slip makes its line a band. */
static bool do_coincide(const struct line *a, const struct line *b, double resolution_hz)
{
    double off_hz = fabs(a->hz - b->hz);
    if (is_fixed(a) != is_fixed(b))
        return off_hz <= a->tolerance_hz + b->tolerance_hz + resolution_hz;
    double slip_hz = (a->hz * a->own_tolerance_pct + b->hz * b->own_tolerance_pct) / 100;
    return off_hz <= fmax(resolution_hz, EQUAL_ORDERS * a->hz) + slip_hz;
}

/* Worth telling: two parts, of which at least one is not a mere high multiple that meets everything. */
static bool is_worth_telling(const struct line *a, const struct line *b)
{
    bool is_bearing = a->family == LINE_BEARING || b->family == LINE_BEARING;
    const struct line *bearing = a->family == LINE_BEARING ? a : b;
    if (a->part == b->part || (a->family == LINE_MAINS && b->family == LINE_MAINS))
        return false;
    if (a->family == LINE_BEARING && b->family == LINE_BEARING)
        return false;
    if (is_bearing && bearing->number > 1)
        return false;
    const struct line *mains = a->family == LINE_MAINS ? a : b->family == LINE_MAINS ? b : NULL;
    const struct line *other = mains == a ? b : a;
    if (mains && (mains->number > MAINS_TOLD || (other->family == LINE_SHAFT && other->number > SHAFT_TOLD)))
        return false;
    return true;
}

static void write_text(struct coincidence *group, const struct lines *lines)
{
    size_t used = 0;
    bool has_fixed = false, has_bearing = false, has_motor = false, has_rotor = false;
    for (size_t i = 0; i < group->member_count; i++) {
        const struct line *line = &lines->items[group->members[i]];
        const char *before = i == 0 ? "" : i + 1 < group->member_count ? ", " : " and ";
        int written = snprintf(group->text + used, sizeof group->text - used, "%s%s", before, line->source);
        used += written > 0 ? (size_t)written : 0;
        has_fixed |= is_fixed(line);
        has_bearing |= line->family == LINE_BEARING;
        has_rotor |= line->family == LINE_BLADE || line->family == LINE_SHAFT;
        has_motor |= line->family == LINE_MOTOR_SHAFT || line->family == LINE_MOTOR_ELECTRICAL ||
                     line->family == LINE_MOTOR_COGGING;
    }
    const char *advice = has_fixed                ? "record at another speed as well"
                         : has_bearing            ? "look at the envelope and at their multiples"
                         : has_motor && has_rotor ? "record at another ratio or without the rotor"
                                                  : "record at another ratio or with another tooth count";
    if (used < sizeof group->text)
        snprintf(group->text + used, sizeof group->text - used, " %s (%.1f Hz); %s",
                 has_fixed || has_bearing ? "may fall together here" : "can't be told apart here", group->hz, advice);
    group->at_every_speed = !has_fixed;
}

static struct coincidence group_at(const struct lines *lines, size_t first, double resolution_hz)
{
    struct coincidence group = { .hz = lines->items[first].hz, .members = { first }, .member_count = 1 };
    double reach_hz = 0.06 * group.hz + 4 * resolution_hz; /* no two tolerances reach further */
    for (size_t i = first + 1; i < lines->count && lines->items[i].hz - group.hz <= reach_hz; i++) {
        const struct line *line = &lines->items[i];
        bool joins = group.member_count < COINCIDENCE_MEMBERS_MAX;
        for (size_t n = 0; n < group.member_count && joins; n++) {
            const struct line *other = &lines->items[group.members[n]];
            joins = do_coincide(other, line, resolution_hz) && is_worth_telling(other, line);
        }
        if (joins)
            group.members[group.member_count++] = i;
    }
    return group;
}

/* Are all members of `group` in the group before it already? */
static bool is_told(const struct coincidences *told, const struct coincidence *group)
{
    for (size_t i = told->count; i > 0 && i + 4 > told->count; i--) {
        const struct coincidence *other = &told->items[i - 1];
        size_t shared = 0;
        for (size_t a = 0; a < group->member_count; a++)
            for (size_t b = 0; b < other->member_count; b++)
                shared += group->members[a] == other->members[b];
        if (shared == group->member_count)
            return true;
    }
    return false;
}

bool coincidences_find(const struct lines *lines, double resolution_hz, struct coincidences *out, struct err *err)
{
    struct coincidences found = { 0 };
    for (size_t first = 0; first < lines->count; first++) {
        struct coincidence group = group_at(lines, first, resolution_hz);
        if (group.member_count < 2 || is_told(&found, &group))
            continue;
        write_text(&group, lines);
        void *items = found.items;
        if (!memory_grow(&items, &found.capacity, found.count + 1, sizeof *found.items)) {
            coincidences_clear(&found);
            return err_memory(err);
        }
        found.items = items;
        found.items[found.count++] = group;
    }
    *out = found;
    return true;
}

void coincidences_clear(struct coincidences *coincidences)
{
    free(coincidences->items);
    *coincidences = (struct coincidences){ 0 };
}
