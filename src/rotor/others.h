/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_OTHERS_H
#define THRUM_ROTOR_OTHERS_H

/* Several rotors turn at nearly, not quite, one speed: the combs of the others are looked for among the tones that the
 * first left unexplained, within OTHERS_REACH_PCT of its speed. Their blade tones get the name of the blade line and
 * remark the other speed; equal harmonics m of two rotors beat at m B |n1 - n2| / 60 (derived). */

#include "rotor/speed.h"

#define OTHERS_REACH_PCT 12.0
#define OTHERS_MOST 8

/* `question` as for the first rotor. Returns how many others were found, their shaft speeds in others_hz. */
int others_name(const struct speed_question *question, double shaft_hz, int rotor_count, struct tone *tones,
                size_t tone_count, double others_hz[OTHERS_MOST], struct err *err, bool *failed);

#endif
