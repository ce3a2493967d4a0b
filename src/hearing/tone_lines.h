/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_TONE_LINES_H
#define THRUM_HEARING_TONE_LINES_H

/* Which lines of a spectrum belong to a tone, and the powers of bands and tones. Powers in Pa^2 (or relative), already
 * divided by the window's noise bandwidth: the power of a band is the sum of its lines, fractions of lines at its edges
 * counted as such. */

#include "meters/figures.h"

#include <stdbool.h>
#include <stddef.h>

struct tone_lines {
    bool is_own; /* false: no valley parts it from a stronger tone, and it has no lines (last below first) */
    size_t first, last;
    double width_hz;
    double power_pa2;      /* noise under it taken off; 0 at least */
    double to_middles_pa2; /* the same of what is half way to its neighbours: tells which is the stronger */
    double noise_density_pa2_hz;
};

/* Where a tone stands among others. */
struct tone_place {
    bool is_own;        /* false: no valley parts it from a stronger tone, whose lines these are */
    size_t least, most; /* as far as its neighbours': half way, or the valley before the weaker one */
    size_t peak;        /* its highest line */
};

/* Power between two frequencies; `*width_hz` is how much of the range the spectrum holds. */
double spectrum_power_pa2(const struct spectrum *spectrum, double low_hz, double high_hz, double *width_hz);

/* Mean density of the lines between two frequencies without those that stand more than 6 dB above the mean, repeated
 * until none is left out any more. */
double noise_density_pa2_hz(const struct spectrum *spectrum, double low_hz, double high_hz);

/* Lines of the tones at `hz` (ascending). No line belongs to two tones; power is 0 for a tone that has none. */
void tone_lines_find(const struct spectrum *spectrum, const double *hz, size_t count, struct tone_lines *out);

/* Place of tone `i` in a spectrum of wider lines than that where `fine` was found. */
struct tone_place tone_place_find(const struct spectrum *spectrum, const double *hz, const struct tone_lines *fine,
                                  size_t count, size_t i);

#endif
