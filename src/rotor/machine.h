/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_MACHINE_H
#define THRUM_ROTOR_MACHINE_H

/* What the tones say about the machine, in plain sentences, each with its figure and its threshold; "may" where it is
 * may. Fills unevenness, belt slip and remarks. Thresholds and their sources stand in machine.c and docs/tones.md. */

#include "rotor/envelope.h"
#include "rotor/explanation.h"
#include "rotor/naming.h"

bool machine_tell(struct explanation *explanation, const struct naming *naming, struct err *err) MUST_CHECK;

/* One blade of `blades` that is e stronger leaves orders e / (blades + e) beside blade orders of 1, blades - 1 of them
 * a blade order: e in percent from the ratio of the powers. 5 % of two blades are -32.26 dB (derived). ABSENT where no
 * single blade explains it. */
double machine_unequal_pct(double unevenness_db, int blades);

#endif
