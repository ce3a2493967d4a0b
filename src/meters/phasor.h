/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_PHASOR_H
#define THRUM_METERS_PHASOR_H

/* exp(j angle), angle in radians. */

#include <complex.h>
#include <math.h>

static inline double complex phasor(double angle)
{
    return cos(angle) + (double complex)I * sin(angle);
}

#endif
