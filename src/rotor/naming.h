/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_NAMING_H
#define THRUM_ROTOR_NAMING_H

/* Which part made which tone. A tone's candidates are the lines within the uncertainty of both whose family stands
 * behind them (family.h). The best by fit and by how often such a part is the cause becomes the source, the others are
 * told as alternatives. A tone that fits no line but lies a whole number of shaft or belt turns beside a stronger named
 * one is its sideband and takes its source, with a remark. What fits nothing stays "unexplained", with the nearest
 * order of each shaft in its remark. */

#include "rotor/drive.h"
#include "rotor/rotor.h"

#include <stdbool.h>
#include <stddef.h>

struct envelope_report;

struct naming {
    const struct lines *lines;
    double shaft_hz, shaft_uncertainty_hz; /* ABSENT: only lines fixed in Hz are named */
    double ratio;                          /* motor turns per rotor turn; ABSENT where not known */
    double slip_pct;                       /* of the motor beside the teeth's ratio, where `ratio` is heard; else 0 */
    int strong_orders;                     /* every so many orders of the rotor's shaft are blades' by their heights,
                                              whatever count is given; 0: not known */
    double step_hz;
    const struct envelope_report *envelope; /* NULL: not listened */
};

/* Whatever the tones were named before is forgotten. */
void tones_name(struct tone *tones, size_t count, const struct naming *naming);

bool tone_is_blade(const struct tone *tone);
bool tone_is_unexplained(const struct tone *tone);
bool tone_is_of(const struct tone *tone, const char *part); /* its source starts with `part` and a space */

#endif
