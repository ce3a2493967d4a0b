/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/slip.h"

#include "base/absent.h"
#include "rotor/speed.h"

#include <math.h>
#include <stdbool.h>

enum { ORDERS_MAX = 9, LOW_ORDERS = 2, LINES_NEEDED = 2 };

#define LONE_LINE_DB 20.0
#define LEAST_SPREAD_LINES 0.05 /* no tone's frequency is known better, in lines */
#define EXACT_SHARE 0.0005      /* nearer to the ratio than this there is no slip to tell */

/* Is the tone already another part's, by a name that a motor line at this place would not have had? */
static bool is_free(const struct tone *tone)
{
    return tone_is_unexplained(tone) || tone_is_of(tone, "motor shaft") || tone_is_of(tone, "motor electrical") ||
           tone_is_of(tone, "motor cogging");
}

/* A whole order of the rotor's shaft tells nothing about the motor. */
static bool is_rotor_order(const struct tone *tone, const struct naming *naming)
{
    double order = tone->hz / naming->shaft_hz;
    double width_hz = speed_match_hz(tone->uncertainty_hz, tone->hz, naming->shaft_uncertainty_hz / naming->shaft_hz,
                                     naming->step_hz);
    return order < 60 && fabs(order - round(order)) * naming->shaft_hz < width_hz;
}

static double spread_hz_of(const struct tone *tone, const struct naming *naming)
{
    return fmax(tone->uncertainty_hz, LEAST_SPREAD_LINES * naming->step_hz);
}

static const struct tone *motor_tone(const struct tone *tones, size_t count, const struct naming *naming, double hz)
{
    double width_hz = speed_match_hz(0.2 * naming->step_hz, hz, EXACT_SHARE / 3, naming->step_hz);
    const struct tone *tone = tone_nearest(tones, count, hz, width_hz);
    if (!tone || !is_free(tone) || is_rotor_order(tone, naming))
        return NULL;
    /* One that is known better than that must lie nearer. */
    width_hz = speed_match_hz(spread_hz_of(tone, naming), hz, EXACT_SHARE / 3, naming->step_hz);
    return fabs(tone->hz - hz) <= width_hz ? tone : NULL;
}

struct motor_orders {
    int items[ORDERS_MAX];
    size_t count, own_count; /* the motor's own come first, then the mesh */
};

/* A tone on an order that two parts share is one line. */
static void add_order(struct motor_orders *orders, int order)
{
    for (size_t i = 0; i < orders->count; i++)
        if (orders->items[i] == order)
            return;
    orders->items[orders->count++] = order;
}

/* Orders of the motor's shaft that are mostly heard: itself, electrical, mesh. */
static struct motor_orders list_orders(const struct variant *variant)
{
    static const int multiples[] = { 1, 2, 4, 6, 12 };
    struct motor_orders orders = { { 1, 2 }, 2, 2 };
    for (size_t i = 0; variant->motor_pole_pairs > 0 && i < sizeof multiples / sizeof *multiples; i++)
        add_order(&orders, multiples[i] * variant->motor_pole_pairs);
    orders.own_count = orders.count;
    for (int i = 1; drive_motor_teeth(variant) > 0 && i <= 2; i++)
        add_order(&orders, i * drive_motor_teeth(variant));
    return orders;
}

struct trial {
    double sum_db, weight, weighted_hz; /* weight: one over the variance of the motor's speed */
    int lines, own_lines;
};

/* What stands on the motor's orders at a trial speed. */
static struct trial try_speed(const struct motor_orders *orders, const struct tone *tones, size_t tone_count,
                              const struct naming *naming, double motor_hz)
{
    struct trial trial = { 0 };
    for (size_t i = 0; i < orders->count; i++) {
        const struct tone *tone = motor_tone(tones, tone_count, naming, motor_hz * orders->items[i]);
        if (!tone)
            continue;
        double spread_hz = spread_hz_of(tone, naming) / orders->items[i];
        trial.lines++;
        trial.own_lines += i < orders->own_count;
        trial.sum_db += tone->line_ratio_db;
        trial.weight += 1 / (spread_hz * spread_hz);
        trial.weighted_hz += tone->hz / orders->items[i] / (spread_hz * spread_hz);
    }
    return trial;
}

static bool is_near(double hz, double motor_hz, double slip_pct)
{
    return fabs(1 - hz / motor_hz) <= slip_pct / 100;
}

struct motor_heard motor_unheard(void)
{
    return (struct motor_heard){ .motor_hz = ABSENT, .uncertainty_hz = ABSENT };
}

struct motor_heard motor_listen(const struct variant *variant, double log_motor_hz, const struct tone *tones,
                                size_t tone_count, const struct naming *naming)
{
    const struct motor_orders orders = list_orders(variant);
    struct motor_heard best = motor_unheard();
    double best_db = 0, nominal_hz = naming->shaft_hz * naming->ratio;
    bool is_best_logged = false;
    for (size_t i = 0; i < tone_count && is_given(nominal_hz); i++) {
        if (!is_free(&tones[i]) || is_rotor_order(&tones[i], naming))
            continue;
        for (size_t o = 0; o < orders.count; o++) {
            double motor_hz = tones[i].hz / orders.items[o];
            bool is_logged = is_near(log_motor_hz, motor_hz, SLIP_LOG_PCT);
            if (!is_logged && (is_best_logged || !is_near(nominal_hz, motor_hz, SLIP_REACH_PCT)))
                continue;
            struct trial trial = try_speed(&orders, tones, tone_count, naming, motor_hz);
            bool is_lone = trial.lines == 1 && orders.items[o] > LOW_ORDERS && tones[i].line_ratio_db >= LONE_LINE_DB &&
                           (is_logged || !tone_is_unexplained(&tones[i]));
            bool is_enough = trial.own_lines >= LINES_NEEDED || trial.lines > LINES_NEEDED ||
                             (is_logged && trial.lines == LINES_NEEDED) || is_lone;
            if (!is_enough || (trial.sum_db <= best_db && is_logged == is_best_logged))
                continue;
            best_db = trial.sum_db;
            is_best_logged = is_logged;
            best = (struct motor_heard){ .motor_hz = trial.weighted_hz / trial.weight,
                                         .uncertainty_hz = sqrt(1 / trial.weight),
                                         .line_count = trial.lines };
        }
    }
    return best;
}

/* How far beyond three standard uncertainties the motor turns beside the ratio, as a share. */
static double beyond_share(const struct motor_heard *motor, const struct naming *naming)
{
    double nominal_hz = naming->shaft_hz * naming->ratio;
    double spread_hz = hypot(motor->uncertainty_hz, naming->shaft_uncertainty_hz * naming->ratio);
    return (fabs(motor->motor_hz - nominal_hz) - 3 * spread_hz) / nominal_hz;
}

bool motor_is_beside(const struct motor_heard *motor, const struct naming *naming)
{
    return beyond_share(motor, naming) > 0;
}

bool motor_slips(const struct motor_heard *motor, const struct naming *naming)
{
    return beyond_share(motor, naming) > EXACT_SHARE;
}
