/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_FAMILY_H
#define THRUM_ROTOR_FAMILY_H

/* A part is named by its family of lines, not by one coincidence. What each family asks for beside the one line:
 *   blade m above 3      a tone on one of the two blade lines below or above
 *   shaft order above 3  two tones on other orders of the shaft
 *   motor shaft above 2  a tone on another of its multiples
 *   mains                as many other multiples at its frequency as at the nominal one; above 4: three multiples
 *   bearing              no whole order of the rotor's shaft, and its first three multiples with one slip, or two of
 *                        them and a pair of sidebands at the shaft's spacing, or its line in the envelope
 *   PWM                  the carrier, or two of its lines with one error of the controller's clock
 * A match of one bearing line is not evidence (reference notes, from memory); the rest is common practice, no source
 * gives numbers. */

#include "rotor/envelope.h"
#include "rotor/naming.h"

#include <stdbool.h>
#include <stddef.h>

struct family_view {
    const struct tone *tones;
    size_t tone_count;
    const struct naming *naming;
    int blade_last;      /* blade line, above which a gap of several lines ends the comb */
    double pwm_shift_hz; /* of the carrier from its nominal frequency; ABSENT where no PWM is heard */
};

/* Looks for the PWM's real frequency and for the end of the blades' comb. */
struct family_view family_look(const struct tone *tones, size_t tone_count, const struct naming *naming);

/* Where the line should be: PWM lines move with the carrier found. */
double family_line_hz(const struct family_view *view, const struct line *line);

/* How far a tone may lie from the line. */
double family_width_hz(const struct family_view *view, const struct tone *tone, const struct line *line);

/* Does the family of line number `index` stand behind `tone`? */
bool family_supports(const struct family_view *view, const struct tone *tone, size_t index);

/* Within 0.02 of an order of the shaft: no bearing's line can be told from it. */
bool family_is_whole_order(double hz, double shaft_hz);

/* A comb's levels run on from line to line. A tone that stands high above its neighbours in the comb is likelier
 * another part that falls on the same frequency (above 0); one that lies among them belongs (below 0). */
double family_comb_cost(const struct family_view *view, const struct tone *tone, size_t index);

#endif
