/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/roughness_curves.h"

#include <stddef.h>

struct point {
    double x, y;
};

/* Linear between points, the end values beyond them. */
static double curve(const struct point *points, size_t count, double x)
{
    if (x <= points[0].x)
        return points[0].y;
    for (size_t i = 1; i < count; i++)
        if (x <= points[i].x)
            return points[i - 1].y +
                   (points[i].y - points[i - 1].y) * (x - points[i - 1].x) / (points[i].x - points[i - 1].x);
    return points[count - 1].y;
}
#define CURVE(points, x) curve(points, sizeof(points) / sizeof((points)[0]), x)

static const struct point threshold[] = {
    { 0, 130 },  { 0.01, 70 }, { 0.17, 60 }, { 0.8, 30 },  { 1, 25 },    { 1.5, 20 }, { 2, 15 },
    { 3.3, 10 }, { 4, 8.1 },   { 5, 6.3 },   { 6, 5 },     { 8, 3.5 },   { 10, 2.5 }, { 12, 1.7 },
    { 13.3, 0 }, { 15, -2.5 }, { 16, -4 },   { 17, -3.7 }, { 18, -1.5 }, { 19, 1.4 }, { 20, 3.8 },
    { 21, 5 },   { 22, 7.5 },  { 23, 15 },   { 24, 48 },   { 24.5, 60 }, { 25, 130 },
};
static const struct point ear[] = {
    { 0, 0 },        { 10, 0 },     { 12, 1.15 },    { 13, 2.31 },   { 14, 3.85 },  { 15, 5.62 },  { 16, 6.92 },
    { 16.5, 7.38 },  { 17, 6.92 },  { 18, 4.23 },    { 18.5, 2.31 }, { 19, 0 },     { 20, -1.43 }, { 21, -2.59 },
    { 21.5, -3.57 }, { 22, -5.19 }, { 22.5, -7.41 }, { 23, -11.3 },  { 23.5, -20 }, { 24, -40 },
};
static const struct point carrier[] = {
    { 0, 0 },     { 1, 0.35 },  { 2.5, 0.7 }, { 4.9, 0.7 }, { 6.5, 1.1 },   { 8, 1.25 },  { 9, 1.26 },
    { 10, 1.18 }, { 11, 1.08 }, { 11.5, 1 },  { 13, 0.66 }, { 17.5, 0.46 }, { 21, 0.38 }, { 24, 0.3 },
};
static const struct point channels_1_to_4[] = {
    { 0, 0 },    { 17, 0.8 },  { 23, 0.95 }, { 25, 0.975 }, { 32, 1 },    { 37, 0.975 }, { 48, 0.9 }, { 67, 0.8 },
    { 90, 0.7 }, { 114, 0.6 }, { 171, 0.4 }, { 206, 0.3 },  { 247, 0.2 }, { 294, 0.1 },  { 358, 0 },
};
static const struct point channels_5_to_15[] = {
    { 0, 0 },     { 32, 0.8 },  { 43, 0.95 }, { 56, 1 },    { 69, 0.975 }, { 92, 0.9 },  { 120, 0.8 },
    { 142, 0.7 }, { 165, 0.6 }, { 231, 0.4 }, { 277, 0.3 }, { 331, 0.2 },  { 397, 0.1 }, { 502, 0 },
};
static const struct point channels_16_to_20[] = {
    { 0, 0 },       { 23.5, 0.4 }, { 34, 0.6 },  { 47, 0.8 },   { 56, 0.9 },  { 63, 0.95 }, { 79, 1 },
    { 100, 0.975 }, { 115, 0.95 }, { 135, 0.9 }, { 159, 0.85 }, { 172, 0.8 }, { 194, 0.7 }, { 215, 0.6 },
    { 244, 0.5 },   { 290, 0.4 },  { 348, 0.3 }, { 415, 0.2 },  { 500, 0.1 }, { 645, 0 },
};
static const struct point channels_21_to_41[] = {
    { 0, 0 },        { 19, 0.4 },    { 44, 0.8 },     { 52.5, 0.9 },  { 58, 0.95 },   { 75, 1 },
    { 101.5, 0.95 }, { 114.5, 0.9 }, { 132.5, 0.85 }, { 143.5, 0.8 }, { 165.5, 0.7 }, { 197.5, 0.6 },
    { 241, 0.5 },    { 290, 0.4 },   { 348, 0.3 },    { 415, 0.2 },   { 500, 0.1 },   { 645, 0 },
};
static const struct point channels_42_to_47[] = {
    { 0, 0 },     { 15, 0.4 },  { 41, 0.8 },   { 49, 0.9 },  { 53, 0.95 }, { 64, 0.99 }, { 71, 1 },
    { 88, 0.95 }, { 94, 0.9 },  { 106, 0.85 }, { 115, 0.8 }, { 137, 0.7 }, { 180, 0.6 }, { 238, 0.5 },
    { 290, 0.4 }, { 348, 0.3 }, { 415, 0.2 },  { 500, 0.1 }, { 645, 0 },
};

double roughness_threshold_db(double bark)
{
    return CURVE(threshold, bark);
}

double roughness_ear_db(double bark)
{
    return CURVE(ear, bark);
}

double roughness_carrier_weight(double bark)
{
    return CURVE(carrier, bark);
}

double roughness_modulation_weight(int channel, double modulation_hz)
{
    if (channel < 5)
        return CURVE(channels_1_to_4, modulation_hz);
    if (channel < 16)
        return CURVE(channels_5_to_15, modulation_hz);
    if (channel < 21)
        return CURVE(channels_16_to_20, modulation_hz);
    if (channel < 42)
        return CURVE(channels_21_to_41, modulation_hz);
    return CURVE(channels_42_to_47, modulation_hz);
}
