/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_MACHINE_H
#define THRUM_ROTOR_MACHINE_H

/* What the tones say about the machine, in plain sentences, each with its figure and its threshold; "may" where it is
 * may. Fills unevenness (trouble.h), belt slip and remarks. Thresholds and their sources stand in machine.c and
 * docs/tones.md. */

#include "rotor/envelope.h"
#include "rotor/explanation.h"
#include "rotor/naming.h"
#include "rotor/slip.h"

bool machine_tell(struct explanation *explanation, const struct naming *naming, const struct motor_heard *motor,
                  struct err *err) MUST_CHECK;

#endif
