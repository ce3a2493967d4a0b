/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_HUM_H
#define THRUM_ROTOR_HUM_H

/* Is a tone, or a whole comb, the mains rather than a rotor? A tone near a low multiple of 50 or 60 Hz is likely the
 * mains and counts for little in any comb. A comb that itself lies on every k-th multiple is the rotor's where no tone
 * lies on the multiples between, as there would be if a device hummed; where its own multiples, from every third, stand
 * 10 dB above those between (a rectifier's hum may favour every second) and the highest of all is its own; or where two
 * of its tones, and most of those that are clear, are broader than the mains can be. Common practice, no source. */

#include "rotor/speed.h"

enum hum_role {
    HUM_PARTS, /* tones on low multiples of the mains count for little */
    HUM_NONE,  /* the comb lies on multiples, but is the rotor's */
    HUM_ALL,   /* the comb is the mains' own, and each of its tones counts for little */
};

enum hum_role hum_role(const struct speed_question *question, double spacing_hz);

bool hum_is_near(const struct speed_question *question, double hz);

#endif
