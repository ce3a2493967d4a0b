/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_SLIP_H
#define THRUM_ROTOR_SLIP_H

/* The motor's speed from its own tones, so that it can be held against the rotor's through the drive's ratio. Orders of
 * the motor's shaft that any other part shares are left out. A speed within SLIP_REACH_PCT of what the ratio says is
 * taken where at least two lines of the motor share it, or one of its electrical lines that stands out by 20 dB and is
 * named so. A logged motor speed is a second anchor: speeds within SLIP_LOG_PCT of it go before all others, and there
 * one unexplained line that stands out by 20 dB is enough. Friction belts creep by 0.5 to 1 % (glossary after ISO 5292,
 * seen); toothed belts do not: then a tooth count is wrong. */

#include "rotor/naming.h"

#define SLIP_REACH_PCT 8.0
#define SLIP_MOVES_PCT 0.25 /* from start to end, that is told; half of what friction belts creep at least */
#define SLIP_LOG_PCT 0.5    /* of a motor speed that was counted; common practice */

struct motor_heard {
    double motor_hz, uncertainty_hz; /* ABSENT when its tones do not tell */
    int line_count;
    bool moves; /* the slip changes through the used part (slip_course.h); only then the rest is filled */
    double first_pct, last_pct, least_hz, most_hz;
};

struct motor_heard motor_unheard(void);

/* `log_motor_hz` may be ABSENT. */
struct motor_heard motor_listen(const struct variant *variant, double log_motor_hz, const struct tone *tones,
                                size_t tone_count, const struct naming *naming);

/* Does the motor turn beside the ratio by more than chance? */
bool motor_is_beside(const struct motor_heard *motor, const struct naming *naming);

/* ... so far that its lines surely lie elsewhere? */
bool motor_slips(const struct motor_heard *motor, const struct naming *naming);

#endif
