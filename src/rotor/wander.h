/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_WANDER_H
#define THRUM_ROTOR_WANDER_H

/* The speed of a rotor whose speed wanders so far that the averaged spectrum shows no clear comb. The strongest tones
 * are followed through the recording one by one, whatever makes them; over the angle that such a course tells, all
 * lines of the same shaft are sharp again, others smear. The comb is then looked for as ever (speed.h), among the tones
 * over that angle. A course comes from one tone alone, so that the other lines of the comb are evidence as independent
 * of it as in a plain spectrum; that several courses are tried is counted against the comb. Where it runs up or down by
 * more than 4 %, the courses come from ridges (ridge.h) in place of tones of the averaged spectrum. Status: derived;
 * the figures are common practice. Measured in tests/rotor/wander.c and ramp.c. */

#include "rotor/speed.h"
#include "rotor/track.h"

struct wander {
    struct speed speed;  /* shaft_hz ABSENT where no comb is clear */
    struct track course; /* owned; of the shaft; mean_hz ABSENT where the plain sound showed the comb */
    bool is_ramp;        /* the course is a ridge's */
    double ridge_hz;     /* its mean */
    struct tone *tones;  /* owned; from short blocks, as far as the eighth blade line */
    size_t tone_count;
    double span;              /* share of its frequency that one of their lines is wide */
    struct spectrum spectrum; /* that they come from; pa2 owned */
    double *noise_pa2;        /* owned */
};

struct explanation;

struct wander wander_nothing(void);
void wander_clear(struct wander *wander);

/* Needs explanation->pressure and a blade count. *out is to be cleared by the caller; *is_moving: there are ridges, and
 * more than one. */
bool wander_search(struct explanation *explanation, struct wander *out, bool *is_moving, struct err *err) MUST_CHECK;

/* For a speed whose own course is doubtful: is it rather a ramp? *out has a speed only where a ridge's comb is clear
 * and beats that of the plain sound. */
bool wander_search_ramp(struct explanation *explanation, struct wander *out, bool *is_moving,
                        struct err *err) MUST_CHECK;

#endif
