/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/trouble.h"

#include "base/absent.h"
#include "base/units.h"
#include "rotor/family.h"
#include "rotor/hum.h"
#include "rotor/naming.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    UNEVEN_BLADE_TURNS = 3, /* orders up to so many times the blade count are compared */
    ORDERS_MOST = 96,
    HALVES_JUDGED = 6,
    HALVES_TOLD = 2,
    PAIRS_TOLD = 2, /* blade lines; common practice */
};

#define UNEVEN_TOLD_PCT 5.0 /* one blade so much stronger is told; 5 % of two is -32.3 dB (derived) */
#define HINT_STEP_PCT 5.0   /* the blades' own spectrum and a hum make it no surer */
#define FAMILY_TOLD_DB 10.0 /* orders so far above the shaft's others; common practice, no source */
#define UNHEARD_DB 10.0     /* of an order that is not among the tones, above the noise in its line */
#define HALF_SHARE 0.0005   /* of a half order's place; common practice */
#define HALF_STEP_SHARE 0.3 /* and of a line */

double trouble_unequal_pct(double unevenness_db, int blades)
{
    if (blades < 2)
        return ABSENT;
    double order = sqrt(db_to_power_ratio(unevenness_db) / (blades - 1));
    return order < 1 ? 100 * blades * order / (1 - order) : ABSENT;
}

/* Levels of the shaft's orders, blade lines among them. */
struct orders {
    int blades, last; /* the highest that is compared: the last blade line that is heard */
    const struct tone *tones[ORDERS_MOST + 1];
};

static struct orders list_orders(const struct rotor_figures *out, int blades)
{
    struct orders orders = { .blades = blades };
    int most = UNEVEN_BLADE_TURNS * blades < ORDERS_MOST ? UNEVEN_BLADE_TURNS * blades : ORDERS_MOST;
    for (size_t i = 0; i < out->tone_count; i++) {
        const struct tone *tone = &out->tones[i];
        double order = round(tone->shaft_order);
        bool is_of_shaft = (tone_is_blade(tone) || tone_is_of(tone, "shaft")) && tone->remark[0] == '\0';
        if (!is_of_shaft || !(order >= 1 && order <= most))
            continue;
        orders.tones[(int)order] = tone;
        if ((int)order % blades == 0)
            orders.last = (int)order;
    }
    return orders;
}

/* Level of the blade lines at an order: straight from one that is heard to the next, level below the first. */
static double blade_level_db(const struct orders *orders, int order)
{
    int below = order - 1, above = order;
    while (below > 0 && !(below % orders->blades == 0 && orders->tones[below]))
        below--;
    while (!(above % orders->blades == 0 && orders->tones[above]))
        above++;
    double above_db = orders->tones[above]->level_db;
    if (below == 0)
        return above_db;
    double share = (double)(order - below) / (above - below);
    return (1 - share) * orders->tones[below]->level_db + share * above_db;
}

/* Height of the strongest order of a family over the blade lines there; `of_family` every odd multiple of `step`, or
 * (false) the orders that are none and no blade line. Orders not heard count by the noise beside `noise_of`. */
static double family_db(const struct orders *orders, int step, bool of_family, const struct tone *noise_of,
                        const struct tone **strongest)
{
    double most_db = -HUGE_VAL;
    for (int order = 1; order <= orders->last; order++) {
        bool is_member = step == 1 ? order == 1 : order % step == 0;
        if (order % orders->blades == 0 || is_member != of_family)
            continue;
        const struct tone *tone = orders->tones[order];
        double level_db = tone       ? tone->level_db
                          : noise_of ? noise_of->level_db - noise_of->line_ratio_db + UNHEARD_DB
                                     : -HUGE_VAL;
        if (level_db - blade_level_db(orders, order) > most_db) {
            most_db = level_db - blade_level_db(orders, order);
            *strongest = tone;
        }
    }
    return most_db;
}

/* How far a family stands above the shaft's other orders; ABSENT where it is not heard, or nothing is left to compare
 * it with. */
static double family_stands_db(const struct orders *orders, int step, const struct tone **strongest)
{
    const struct tone *other = NULL;
    *strongest = NULL;
    double own_db = family_db(orders, step, true, NULL, strongest);
    if (!*strongest)
        return ABSENT;
    double others_db = family_db(orders, step, false, *strongest, &other);
    return isfinite(others_db) ? own_db - others_db : ABSENT;
}

static double sum_pa2(const struct rotor_figures *out, const char *part, double highest_order)
{
    double sum = 0;
    for (size_t i = 0; i < out->tone_count; i++)
        if (tone_is_of(&out->tones[i], part) && out->tones[i].shaft_order > 0.5 &&
            out->tones[i].shaft_order < highest_order)
            sum += db_to_pa2(out->tones[i].level_db);
    return sum;
}

static bool tell_unequal(struct explanation *explanation, struct err *err)
{
    const struct rotor_figures *out = explanation->out;
    int blades = explanation->variant->blades;
    double unequal_pct = trouble_unequal_pct(out->unevenness_db, blades);
    if (is_given(unequal_pct) && unequal_pct < UNEVEN_TOLD_PCT)
        return true;
    if (!is_given(unequal_pct) || unequal_pct > 100)
        return remark_add(
            explanation, err,
            "The shaft's other orders lie %.1f dB %s the blade orders: more than unequal blades make; the "
            "blade count may be wrong, or the motor or an imbalance makes them.",
            fabs(out->unevenness_db), out->unevenness_db <= 0 ? "below" : "above");
    return remark_add(
        explanation, err,
        "Blades may be unequal, bent or unbalanced: the shaft's other orders lie %.1f dB below the blade "
        "orders, roughly as with one of %d blades some %.0f %% off (a hint, no measure; told from %.0f %%; "
        "by symmetry).",
        -out->unevenness_db, blades, HINT_STEP_PCT * round(unequal_pct / HINT_STEP_PCT), UNEVEN_TOLD_PCT);
}

static bool tell_orders(struct explanation *explanation, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    int blades = explanation->variant->blades;
    double highest = UNEVEN_BLADE_TURNS * blades + 0.5;
    double blade_pa2 = sum_pa2(out, "blade", highest), shaft_pa2 = sum_pa2(out, "shaft", highest);
    if (blades < 2 || explanation->heard_count > 0 || !(blade_pa2 > 0 && shaft_pa2 > 0))
        return true;
    out->unevenness_db = power_ratio_to_db(shaft_pa2 / blade_pa2);
    const struct orders orders = list_orders(out, blades);
    const struct tone *tone = NULL;
    double stands_db = family_stands_db(&orders, 1, &tone);
    if (stands_db >= FAMILY_TOLD_DB)
        return remark_add(explanation, err,
                          "Shaft order 1 (%.1f Hz, %.1f dB) stands %.0f dB above the shaft's other orders (told from "
                          "%.0f dB): it may be an imbalance, a bent shaft or a blade out of track, and grows fast with "
                          "speed; balance, and check the track.",
                          tone->hz, tone->level_db, stands_db, FAMILY_TOLD_DB);
    stands_db = blades >= 4 && blades % 2 == 0 ? family_stands_db(&orders, blades / 2, &tone) : ABSENT;
    if (stands_db >= FAMILY_TOLD_DB)
        return remark_add(explanation, err,
                          "Blades may be alike in pairs but not between them: orders %d, %d stand %.0f dB above the "
                          "shaft's others (told from %.0f dB; %.1f dB below the blade orders in all); check the pairs' "
                          "angle and pitch.",
                          blades / 2, 3 * blades / 2, stands_db, FAMILY_TOLD_DB, -out->unevenness_db);
    return tell_unequal(explanation, err);
}

static bool is_side_tone(const struct tone *tone)
{
    return strncmp(tone->remark, "sideband", 8) == 0;
}

/* What the side tones of one mesh at one spacing say. */
struct side_tones {
    int count;
    const struct tone *strongest;
};

static struct side_tones list_side_tones(const struct rotor_figures *out, const char *part, const char *spacing)
{
    struct side_tones side = { 0, NULL };
    for (size_t i = 0; i < out->tone_count; i++) {
        const struct tone *tone = &out->tones[i];
        if (!tone_is_of(tone, part) || !is_side_tone(tone) || !strstr(tone->remark, spacing))
            continue;
        side.count++;
        if (!side.strongest || tone->level_db > side.strongest->level_db)
            side.strongest = tone;
    }
    return side;
}

/* Level of the tone that a side tone stands beside; a side tone has its source. */
static double parent_level_db(const struct rotor_figures *out, const struct tone *side)
{
    for (size_t i = 0; i < out->tone_count; i++)
        if (strcmp(out->tones[i].source, side->source) == 0 && !is_side_tone(&out->tones[i]))
            return out->tones[i].level_db;
    return ABSENT;
}

static bool tell_side_tones(struct explanation *explanation, const char *part, struct err *err)
{
    static const struct {
        const char *spacing, *belt, *gear;
    } rows[] = {
        { "belt turn", "once a turn of the belt something changes; a splice or tooth may be bad", "" },
        { "rotor shaft", "the rotor's pulley may run out of true",
          "the rotor's wheel may have a bad tooth or run out of true" },
        { "motor shaft", "the motor's pulley may run out of true",
          "the motor's pinion may have a bad tooth or run out of true" },
    };
    const struct rotor_figures *out = explanation->out;
    bool is_belt = strcmp(part, "belt mesh") == 0;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct side_tones side = list_side_tones(out, part, rows[i].spacing);
        if (side.count > 0 &&
            !remark_add(
                explanation, err,
                "The %s's mesh has %d side %s at multiples of the %s (strongest %.1f Hz, %.1f dB, %.0f dB below "
                "the mesh): %s; more of them later mean that it grows.",
                is_belt ? "belt" : "gear", side.count, side.count == 1 ? "tone" : "tones", rows[i].spacing,
                side.strongest->hz, side.strongest->level_db,
                parent_level_db(out, side.strongest) - side.strongest->level_db, is_belt ? rows[i].belt : rows[i].gear))
            return false;
    }
    return true;
}

/* Tones without a part at odd halves of the shaft's speed. */
static bool tell_halves(struct explanation *explanation, struct err *err)
{
    const struct rotor_figures *out = explanation->out;
    double shaft_hz = explanation->speed.shaft_hz, width_hz = HALF_STEP_SHARE * explanation->spectrum.step_hz;
    const struct tone *loudest = NULL;
    int count = 0;
    for (size_t i = 0; i < out->tone_count; i++) {
        const struct tone *tone = &out->tones[i];
        double half_hz = (floor(tone->shaft_order) + 0.5) * shaft_hz;
        if (!tone_is_unexplained(tone) || !(tone->shaft_order < HALVES_JUDGED) ||
            fabs(tone->hz - half_hz) > HALF_SHARE * half_hz + width_hz)
            continue;
        count++;
        if (!loudest || tone->level_db > loudest->level_db)
            loudest = tone;
    }
    if (count < HALVES_TOLD)
        return true;
    return remark_add(
        explanation, err,
        "%d tones lie on half orders of the shaft, the loudest at %.1f Hz (order %.1f, %.1f dB; told from "
        "%d): something may be loose or rub; check screws, hub and clearances.",
        count, loudest->hz, floor(loudest->shaft_order) + 0.5, loudest->level_db, HALVES_TOLD);
}

/* Pairs of tones at one distance on both sides of blade lines. */
struct pairs {
    double distance_hz;
    const struct tone *strongest, *blade; /* of all their tones; the line that it lies beside */
    int line_count;
};

static const struct tone *unexplained_at(const struct explanation *explanation, double hz, double uncertainty_hz)
{
    const struct rotor_figures *out = explanation->out;
    double width_hz = speed_match_hz(uncertainty_hz, hz, 0, explanation->spectrum.step_hz);
    const struct tone *tone = tone_nearest(out->tones, out->tone_count, hz, width_hz);
    return tone && tone_is_unexplained(tone) ? tone : NULL;
}

static struct pairs list_pairs(const struct explanation *explanation, double distance_hz, double uncertainty_hz)
{
    const struct rotor_figures *out = explanation->out;
    struct pairs pairs = { .distance_hz = distance_hz };
    for (size_t i = 0; i < out->tone_count; i++) {
        const struct tone *blade = &out->tones[i];
        double spread_hz = hypot(uncertainty_hz, blade->uncertainty_hz);
        const struct tone *sides[] = { unexplained_at(explanation, blade->hz - distance_hz, spread_hz),
                                       unexplained_at(explanation, blade->hz + distance_hz, spread_hz) };
        if (!tone_is_blade(blade) || blade->remark[0] != '\0' || !sides[0] || !sides[1])
            continue;
        pairs.line_count++;
        for (int side = 0; side < 2; side++)
            if (!pairs.strongest || sides[side]->level_db > pairs.strongest->level_db) {
                pairs.strongest = sides[side];
                pairs.blade = blade;
            }
    }
    return pairs;
}

/* Whole and half turns of the shaft are told as its orders; the mains' ripple in a controller is no trouble. */
static bool is_strange(const struct explanation *explanation, double distance_hz)
{
    struct speed_question question = explanation_question(explanation);
    return !family_is_whole_order(2 * distance_hz, explanation->speed.shaft_hz) && !hum_is_near(&question, distance_hz);
}

/* Something swings that does not turn with the rotor, and the blades with it. */
static bool tell_pairs(struct explanation *explanation, struct err *err)
{
    const struct rotor_figures *out = explanation->out;
    double shaft_hz = explanation->speed.shaft_hz, reach_hz = explanation->variant->blades * shaft_hz / 2;
    struct pairs most = { .line_count = 0 };
    for (size_t i = 0; i < out->tone_count; i++) {
        const struct tone *tone = &out->tones[i];
        double distance_hz = fabs(tone->hz - 2 * reach_hz * round(tone->hz / reach_hz / 2));
        if (!tone_is_unexplained(tone) || !is_strange(explanation, distance_hz))
            continue;
        struct pairs pairs = list_pairs(explanation, distance_hz, tone->uncertainty_hz);
        if (pairs.line_count > most.line_count)
            most = pairs;
    }
    if (most.line_count < PAIRS_TOLD)
        return true;
    return remark_add(
        explanation, err,
        "Pairs of tones lie %.1f Hz (%.3f of the shaft's speed) on both sides of %d blade lines (told from %d; "
        "strongest "
        "%.1f Hz, %.1f dB, %.0f dB below its blade line): the blades swing at a rate that is not the rotor's; stop "
        "and look for flutter, a loose blade or pivot, a crack; a second rotor or an unsteady controller may make them "
        "too.",
        most.distance_hz, most.distance_hz / shaft_hz, most.line_count, PAIRS_TOLD, most.strongest->hz,
        most.strongest->level_db, most.blade->level_db - most.strongest->level_db);
}

bool trouble_tell(struct explanation *explanation, struct err *err)
{
    return tell_orders(explanation, err) && tell_side_tones(explanation, "belt mesh", err) &&
           tell_side_tones(explanation, "gear mesh", err) && tell_halves(explanation, err) &&
           tell_pairs(explanation, err);
}
