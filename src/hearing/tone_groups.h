/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_TONE_GROUPS_H
#define THRUM_HEARING_TONE_GROUPS_H

/* Which tones are heard as one (ECMA-418-1, clause 11; ISO/PAS 20065; from memory): the strongest of a critical band is
 * the primary tone, and weaker ones in the band are heard together with it from 1 kHz on, below it those nearer than
 * proximity_hz. What a primary has taken is taken; what is left has a primary of its own. */

#include <stddef.h>

typedef void critical_band_place(double hz, double *low_hz, double *high_hz);

/* `primary[i]` becomes the index of the tone that i is heard as one with: its own for a primary. Powers that are not
 * above 0 (or ABSENT) take nothing and are not taken. Of equal powers the lower frequency is the primary. */
void tone_groups_find(const double *hz, const double *power_pa2, size_t count, critical_band_place *place,
                      size_t *primary);

#endif
