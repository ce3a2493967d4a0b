/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "mask.h"

#include <math.h>

/* Exponent of G, least and greatest relative attenuation. The greatest ends at the band's edge, the least jumps there.
 */
static const struct {
    double exponent, least_db, greatest_db;
} points[] = {
    { 0, -0.4, 0.4 },      { 0.125, -0.4, 0.5 },  { 0.25, -0.4, 0.7 }, { 0.375, -0.4, 1.4 }, { 0.5, 1.6, 5.3 },
    { 1, 16.6, INFINITY }, { 2, 40.5, INFINITY }, { 3, 60, INFINITY }, { 4, 70, INFINITY },
};
#define HALF (sizeof points / sizeof points[0])
#define EDGE 4
#define LEAST_INSIDE_DB (-0.4)

/* 5.10.3: of a breakpoint of the octave filter. */
static double mapped(int per_octave, double exponent)
{
    double half_band = pow(10, 0.3 / (2 * per_octave)), half_octave = pow(10, 0.15);
    return 1 + (half_band - 1) / (half_octave - 1) * (pow(10, 0.3 * exponent) - 1);
}

double mask_point_ratio(int per_octave, size_t index)
{
    if (index >= HALF - 1)
        return mapped(per_octave, points[index - (HALF - 1)].exponent);
    return 1 / mapped(per_octave, points[HALF - 1 - index].exponent);
}

double mask_margin_db(int per_octave, double ratio, double attenuation_db)
{
    double above = ratio >= 1 ? ratio : 1 / ratio;
    size_t next = 1;
    while (next < HALF && above > mapped(per_octave, points[next].exponent) * (1 + 1e-9))
        next++;
    if (next == HALF)
        return attenuation_db - points[HALF - 1].least_db;
    double from = log(mapped(per_octave, points[next - 1].exponent)),
           to = log(mapped(per_octave, points[next].exponent));
    double part = fmin(1, (log(above) - from) / (to - from));
    double start_least_db = points[next - 1].least_db, end_least_db = points[next].least_db;
    if (next == EDGE && part < 1 - 1e-6)
        end_least_db = LEAST_INSIDE_DB;
    double least_db = start_least_db + part * (end_least_db - start_least_db);
    if (next > EDGE)
        return attenuation_db - least_db;
    double greatest_db =
        points[next - 1].greatest_db + part * (points[next].greatest_db - points[next - 1].greatest_db);
    return fmin(attenuation_db - least_db, greatest_db - attenuation_db);
}

double mask_least(double one, double other)
{
    if (isnan(one) || isnan(other))
        return NAN;
    return one < other ? one : other;
}
