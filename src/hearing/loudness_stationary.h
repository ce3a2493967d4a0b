/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_LOUDNESS_STATIONARY_H
#define THRUM_HEARING_LOUDNESS_STATIONARY_H

/* Loudness of a stationary sound from its 28 third-octave levels, ISO 532-1:2017, clause 5 (zwicker.h says what is from
 * memory). The levels must come from real filters with skirts: a single band among empty ones reads low. */

#include "hearing/zwicker.h"

#include <stdbool.h>

struct stationary_loudness {
    double sone, phon;
    double pattern[ZWICKER_PATTERN_COUNT]; /* specific loudness, sone/bark */
};

/* `band_pa2`: mean squares of the bands 25 Hz to 12.5 kHz; 0 for an empty one. */
void loudness_stationary(const double band_pa2[static ZWICKER_BAND_COUNT], bool is_diffuse,
                         struct stationary_loudness *out);

#endif
