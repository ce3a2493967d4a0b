/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/band.h"

#include "base/absent.h"

#include <math.h>

/* This file is the one beside base/units.h that may raise 10 to a power: band frequencies are defined so. */
#define LOWEST_MID_HZ 17.8
#define HIGHEST_MID_HZ 22380.0

static double reference_times_g(double exponent)
{
    return 1000 * pow(10, 0.3 * exponent);
}

double band_mid_hz(int per_octave, int index)
{
    if (per_octave % 2 == 1)
        return reference_times_g((double)index / per_octave);
    return reference_times_g((2.0 * index + 1) / (2.0 * per_octave));
}

static double third_octave_nominal_hz(int index)
{
    static const double series[10] = { 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8 };
    int decade = (int)floor(index / 10.0);
    double nominal = 1000 * series[index - 10 * decade];
    for (; decade > 0; decade--)
        nominal *= 10;
    for (; decade < 0; decade++)
        nominal /= 10;
    return nominal;
}

double band_nominal_hz(int per_octave, int index)
{
    if (per_octave == 1)
        return third_octave_nominal_hz(3 * index);
    if (per_octave == 3)
        return third_octave_nominal_hz(index);
    double mid_hz = band_mid_hz(per_octave, index), unit = 1;
    while (mid_hz / unit >= 10)
        unit *= 10;
    double digits = mid_hz / unit < 5 ? 100 : 10;
    return round(mid_hz / unit * digits) * unit / digits;
}

struct band band_make(int per_octave, int index)
{
    double mid_hz = band_mid_hz(per_octave, index), half = pow(10, 0.3 / (2 * per_octave));
    return (struct band){ .index = index,
                          .nominal_hz = band_nominal_hz(per_octave, index),
                          .exact_hz = mid_hz,
                          .low_hz = mid_hz / half,
                          .high_hz = mid_hz * half,
                          .level_db = ABSENT,
                          .fmax_db = ABSENT,
                          .smax_db = ABSENT };
}

bool band_fraction_is_known(int per_octave)
{
    return per_octave == 1 || per_octave == 3 || per_octave == 6 || per_octave == 12 || per_octave == 24;
}

void band_range(int per_octave, double sample_rate_hz, int *first_index, size_t *count)
{
    int first = -6 * per_octave;
    while (band_mid_hz(per_octave, first) < LOWEST_MID_HZ)
        first++;
    int last = first - 1;
    while (band_mid_hz(per_octave, last + 1) < HIGHEST_MID_HZ &&
           band_make(per_octave, last + 1).high_hz <= BAND_HIGHEST_EDGE * sample_rate_hz)
        last++;
    *first_index = first;
    *count = (size_t)(last - first + 1);
}
