/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_WANDER_H
#define THRUM_ROTOR_WANDER_H

/* The speed of a rotor whose speed wanders so far that the averaged spectrum shows no clear comb. The strongest tones
 * are followed through the recording one by one, whatever makes them; over the angle that such a course tells, all
 * lines of the same shaft are sharp again, others smear. The comb is then looked for as ever (speed.h), among the tones
 * over that angle. A course comes from one tone alone, so that the other lines of the comb are evidence as independent
 * of it as in a plain spectrum; that several courses are tried is counted against the comb. Status: derived; the
 * figures are common practice. Measured in tests/rotor/wander.c. */

#include "rotor/speed.h"
#include "rotor/track.h"

struct wander {
    struct speed speed;  /* shaft_hz ABSENT where no comb is clear */
    struct track course; /* owned; of the shaft; mean_hz ABSENT where the plain sound showed the comb */
    struct tone *tones;  /* owned; from short blocks, as far as the eighth blade line */
    size_t tone_count;
    double step_hz, span; /* of their spectrum; share of its frequency that a line is wide */
};

struct explanation;

struct wander wander_nothing(void);
void wander_clear(struct wander *wander);

/* Needs explanation->pressure and a blade count. *out is to be cleared by the caller. */
bool wander_search(struct explanation *explanation, struct wander *out, struct err *err) MUST_CHECK;

#endif
