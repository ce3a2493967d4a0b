/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_NAMING_H
#define THRUM_ROTOR_NAMING_H

/* Which part made which tone. A tone's candidates are the lines within the uncertainty of both; a family is taken in
 * rather than one coincidence (a race or cage of a bearing needs three multiples with one slip). Of the candidates that
 * remain the best by fit and rank is the source, the others are told as alternatives. What fits nothing stays
 * "unexplained", with the nearest order of each shaft in its remark. */

#include "rotor/drive.h"
#include "rotor/rotor.h"

#include <stdbool.h>
#include <stddef.h>

struct naming {
    const struct lines *lines;
    double shaft_hz, shaft_uncertainty_hz; /* ABSENT: only lines fixed in Hz are named */
    double ratio;                          /* motor turns per rotor turn; ABSENT where not known */
    double step_hz;
};

void tones_name(struct tone *tones, size_t count, const struct naming *naming);

bool tone_is_blade(const struct tone *tone);
bool tone_is_unexplained(const struct tone *tone);

#endif
