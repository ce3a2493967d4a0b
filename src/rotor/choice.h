/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_CHOICE_H
#define THRUM_ROTOR_CHOICE_H

/* The rotor's speed without a log. Combs at other speeds fit parts of the same sound: the shaft's own orders, every
 * second blade line, a bearing's multiples, the motor's. So all combs that may be the rotor's are weighed against each
 * other with what the rest of the drive would say at each speed: a tone where another part lies speaks for it (as a
 * line of the comb does, speed.h; less for a shaft order that is louder than all blade lines, nothing for one halfway
 * between two, which is a blade line of half the speed), one that no part makes against it. A speed is told where it
 * outdoes all others by odds of 7 to 1 and no tone lies on half an order; a wrong speed is worse than none. Common
 * practice, judged by tests/bench/rotor/drives.c. */

#include "campaign/campaign.h"
#include "rotor/speed.h"

/* `question` without a log; `variant` is that of its blades, NULL where it has none (then no speed is told). */
bool speed_choose(const struct speed_question *question, const struct variant *variant, struct speed *out,
                  struct err *err) MUST_CHECK;

#endif
