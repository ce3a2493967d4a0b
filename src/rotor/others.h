/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_OTHERS_H
#define THRUM_ROTOR_OTHERS_H

/* Several rotors turn at nearly, not quite, one speed: the combs of the others are looked for among the tones that the
 * first left unexplained, within OTHERS_REACH_PCT of its speed. Their blade tones get the name of the blade line and
 * remark the other speed; equal harmonics m of two rotors beat at m B |n1 - n2| / 60 (derived). Low harmonics may lie
 * too close to be two tones: one between both is both rotors' together. What is left may be a sum or difference of the
 * blade passages, |n1 B f1 + n2 B f2| (Fenyvesi et al. 2022, rule verified): it gets the name of the blade line that it
 * lies beside, n1 + n2, and remarks both numbers. */

#include "rotor/speed.h"

#define OTHERS_REACH_PCT 12.0
#define OTHERS_MOST 8

struct others {
    double shaft_hz[OTHERS_MOST];
    int count;
    double unasked_hz; /* with one rotor by the variant: of a clear comb among its unexplained tones, which keep their
                          name; else ABSENT */
};

/* Which of several rotors is the first? `speed` becomes that of the comb nearest to the log within its tolerance, else
 * of the loudest; combs 10 dB weaker than the one that was found don't count. */
bool others_choose(const struct speed_question *question, int rotor_count, struct speed *speed,
                   struct err *err) MUST_CHECK;

/* `question` as for the first rotor; `rotor_count` with it. */
bool others_name(const struct speed_question *question, double shaft_hz, int rotor_count, struct tone *tones,
                 size_t tone_count, struct others *out, struct err *err) MUST_CHECK;

#endif
