/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_MODULATION_H
#define THRUM_HEARING_MODULATION_H

/* Modulations of channels of the ear, each given by weighted lines of its one-sided spectrum; line 0, the mean, is left
 * out. Lines may have any unit; powers have its square. */

#include <complex.h>
#include <stddef.h>

struct modulation {
    const double complex *lines; /* borrowed */
    double power;                /* mean square of the signal that they make */
};

/* Takes the lines and works out their power. */
struct modulation modulation_of(const double complex *lines, size_t line_count);

/* How far two channels go together: 1 to -1 (against each other); 0 when one has no modulation. */
double modulation_correlation(const struct modulation *a, const struct modulation *b, size_t line_count);

#endif
