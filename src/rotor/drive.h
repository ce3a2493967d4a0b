/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_DRIVE_H
#define THRUM_ROTOR_DRIVE_H

/* One model of the drive: two shafts (rotor, motor) tied by a ratio, parts on shafts, and the lines that the parts must
 * make. A part is an order on one shaft, or a fixed frequency, with a tolerance of its own and a set of multiples;
 * nothing is wired for one kind of drive. The rule and its source stand beside each part in drive.c. Lines are owned by
 * the caller (lines_clear). Frequencies are exact arithmetic of the given teeth, poles and balls. */

#include "campaign/campaign.h"
#include "rotor/rotor.h"

#include <stdbool.h>
#include <stddef.h>

enum line_family {
    LINE_BLADE,
    LINE_SHAFT,
    LINE_BELT_MESH,
    LINE_BELT_TURN,
    LINE_GEAR_MESH,
    LINE_MOTOR_SHAFT,
    LINE_MOTOR_ELECTRICAL,
    LINE_MOTOR_COGGING,
    LINE_PWM,
    LINE_BEARING,
    LINE_MAINS,
};

struct line {
    enum line_family family;
    char source[SOURCE_TEXT_MAX]; /* as in results.json */
    int number;                   /* harmonic within its family */
    double hz, tolerance_hz;      /* at the speed asked for */
    double rotor_order;           /* hz / rotor shaft speed; ABSENT for lines fixed in Hz */
    int part;                     /* lines of one part (one race of one bearing, one mains frequency) share it */
    bool is_on_motor;             /* its part turns with the motor's shaft */
    int sideband;                 /* multiple of the electrical frequency beside a PWM line; 0 elsewhere */
    bool is_minor;                /* high orders that are seldom heard: shaft above 2 x blades + 2, mains above 6 */
    double own_tolerance_pct;     /* beyond what the speed's tolerance brings: slip, mains, PWM clock */
};

struct lines {
    struct line *items; /* by frequency; owned */
    size_t count;
};

/* All lines of `variant` at a rotor speed up to `highest_hz`. `rpm_tolerance_pct` widens the lines tied to a shaft. */
bool drive_lines(const struct variant *variant, double rpm, double rpm_tolerance_pct, double highest_hz,
                 struct lines *out, struct err *err) MUST_CHECK;

/* The same with `ratio` motor turns per rotor turn in place of what the teeth say: where a belt slips or a tooth count
 * is wrong, the mesh of either wheel has lines of its own. */
bool drive_lines_at_ratio(const struct variant *variant, double rpm, double ratio, double highest_hz, struct lines *out,
                          struct err *err) MUST_CHECK;
void lines_clear(struct lines *lines);

/* Teeth of the motor's pulley or pinion; 0 with a direct drive. */
int drive_motor_teeth(const struct variant *variant);

#endif
