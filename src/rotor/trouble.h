/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_TROUBLE_H
#define THRUM_ROTOR_TROUBLE_H

/* Early signs of trouble among the named tones, each a sentence with its figure, its threshold and what to look at:
 *   order 1 of the shaft high above its other orders   imbalance, bent shaft, a blade out of track
 *   orders B/2, 3B/2 high above the others (B even)    blades alike in pairs, not between them
 *   all other orders alike                             one blade unequal
 *   side tones of a mesh at a shaft's or belt's turn   that wheel, pulley or belt
 *   tones at half orders                               looseness or rub
 *   pairs at one other distance beside blade lines     flutter, a loose blade or pivot
 * Heights are taken over the blade lines' own fall from harmonic to harmonic: one unequal blade makes every order alike
 * beside them (derived: e / (B + e)). "A shaft order never names the part, only the family" (status from memory): so
 * each sentence says may. Orders that are not heard count as 10 dB above the noise in their line. */

#include "rotor/explanation.h"

/* Fills unevenness_db. */
bool trouble_tell(struct explanation *explanation, struct err *err) MUST_CHECK;

/* One blade of `blades` that is e stronger leaves orders e / (blades + e) beside blade orders of 1, blades - 1 of them
 * a blade order: e in percent from the ratio of the powers. 5 % of two blades are -32.26 dB (derived). ABSENT where no
 * single blade explains it. */
double trouble_unequal_pct(double unevenness_db, int blades);

#endif
