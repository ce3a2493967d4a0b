/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_HEARING_NOISE_IN_BAND_H
#define THRUM_TESTS_HEARING_NOISE_IN_BAND_H

#include "base/units.h"
#include "hearing/critical_band.h"

#include <complex.h>
#include <math.h>

/* A weighting by the poles of IEC 61672-1:2013, annex E, as a power ratio. */
static inline double a_weighting(double hz)
{
    double complex s = CMPLX(0, 2 * PI * hz), p1 = 2 * PI * 20.598997, p2 = 2 * PI * 107.65265, p3 = 2 * PI * 737.86223,
                   p4 = 2 * PI * 12194.217;
    double amplitude =
        cabs(p4 * p4 * s * s * s * s / ((s + p1) * (s + p1) * (s + p2) * (s + p3) * (s + p4) * (s + p4)));
    return amplitude * amplitude * db_to_power_ratio(2.0);
}

/* A-weighted level of the noise in the critical band, by steps of 0.1 Hz. */
static inline double noise_in_band_db(double hz, double density_db)
{
    double low_hz, high_hz, sum = 0;
    critical_band_geometric(hz, &low_hz, &high_hz);
    for (double at_hz = low_hz + 0.05; at_hz < high_hz; at_hz += 0.1)
        sum += 0.1 * a_weighting(at_hz);
    return density_db + power_ratio_to_db(sum);
}

#endif
