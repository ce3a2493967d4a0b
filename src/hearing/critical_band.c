/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/critical_band.h"

#include "base/absent.h"
#include "base/units.h"

#include <math.h>
#include <stddef.h>

void critical_band_geometric(double hz, double *low_hz, double *high_hz)
{
    double width_hz = critical_bandwidth_hz(hz);
    *low_hz = (sqrt(width_hz * width_hz + 4 * hz * hz) - width_hz) / 2;
    *high_hz = *low_hz + width_hz;
}

void critical_band_ecma(double hz, double *low_hz, double *high_hz)
{
    if (hz > 500) {
        critical_band_geometric(hz, low_hz, high_hz);
        return;
    }
    double width_hz = critical_bandwidth_hz(hz);
    *low_hz = hz - width_hz / 2;
    *high_hz = hz + width_hz / 2;
}

double proximity_hz(double hz)
{
    return 21 * db_to_power_ratio(12 * pow(fabs(log10(hz / 212)), 1.8));
}

/* Edges and centres of the 24 critical bands, every half bark (Zwicker 1961, as tabled in public encyclopaedias). */
static const double half_bark_hz[] = { 0,    50,   100,  150,  200,  250,  300,   350,   400,   450,  510,  570,  630,
                                       700,  770,  840,  920,  1000, 1080, 1170,  1270,  1370,  1480, 1600, 1720, 1850,
                                       2000, 2150, 2320, 2500, 2700, 2900, 3150,  3400,  3700,  4000, 4400, 4800, 5300,
                                       5800, 6400, 7000, 7700, 8500, 9500, 10500, 12000, 13500, 15500 };
#define HALF_BARK_COUNT (sizeof half_bark_hz / sizeof half_bark_hz[0])

double hz_to_bark(double hz)
{
    if (!(hz >= 0) || hz > half_bark_hz[HALF_BARK_COUNT - 1])
        return ABSENT;
    size_t above = 1;
    while (above < HALF_BARK_COUNT - 1 && half_bark_hz[above] < hz)
        above++;
    double below_hz = half_bark_hz[above - 1];
    double part = (hz - below_hz) / (half_bark_hz[above] - below_hz);
    return 0.5 * ((double)(above - 1) + part);
}
