/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_TACH_DOUBT_H
#define THRUM_ROTOR_TACH_DOUBT_H

/* Does the sound contradict the tachometer by a simple ratio, as a wrong number of pulses a turn makes it? The comb of
 * blade tones is looked for at the tachometer's speed and at 1/4, 1/3, 1/2, 2/3, 3/2, 2, 3 and 4 times it. Another
 * ratio must outdo the tachometer's own by odds of 400 to 1. A comb k times as dense whose every k-th line stands 6 dB
 * above the others is that of unequal blades and contradicts nothing. Where the log bears the sound out, the pulses are
 * wrong; where it bears the tachometer out, the blade count is (count.h). Common practice, no source gives numbers. */

#include "rotor/speed.h"

#include <stdbool.h>

struct tach_doubt {
    double ratio;       /* the sound's speed over the tachometer's; ABSENT without doubt */
    struct speed speed; /* by the sound */
    bool is_sure;       /* the log bears the sound out */
};

struct tach_doubt tach_doubt_nothing(void);

/* `question` as for the sound alone; its log may be absent. */
struct tach_doubt tach_doubt_find(const struct speed_question *question, double tach_hz);

#endif
