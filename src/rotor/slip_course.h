/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_SLIP_COURSE_H
#define THRUM_ROTOR_SLIP_COURSE_H

/* A belt whose slip changes while it is recorded: the motor's tones move and are broad in the averaged spectrum, the
 * rotor's stand. Where broad tones lie on two orders of the motor or more, the strongest line near each is followed
 * through the recording (track.h); where two courses tell one speed of the motor within COURSE_SHARE, that speed is
 * held against the rotor's own course. Status: kinematics; the figures are common practice. Measured in
 * tests/rotor/slip_moves.c: within 0.2 percentage points. */

#include "rotor/explanation.h"
#include "rotor/slip.h"

#define COURSE_SHARE 0.002

/* Fills motor->moves and what goes with it where the slip moves by SLIP_MOVES_PCT or more, and names the tones that it
 * swept. */
bool slip_follow(const struct explanation *explanation, const struct naming *naming, struct tone *tones,
                 size_t tone_count, struct motor_heard *motor, struct err *err) MUST_CHECK;

#endif
