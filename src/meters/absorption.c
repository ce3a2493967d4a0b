/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/absorption.h"

#include "base/absent.h"
#include "base/units.h"

#include <math.h>

#define REFERENCE_KPA 101.325
#define REFERENCE_K 293.15
#define TRIPLE_POINT_K 273.16

double saturation_pressure_ratio(double temperature_k)
{
    return db_to_power_ratio(10 * (-6.8346 * pow(TRIPLE_POINT_K / temperature_k, 1.261) + 4.6151));
}

/* Molar share of water vapour, per cent (B.2): humidity times saturation pressure over pressure. */
static double water_pct(double temperature_k, double humidity_pct, double pressure)
{
    return humidity_pct * saturation_pressure_ratio(temperature_k) / pressure;
}

double absorption_db_m(const struct air *air, double hz)
{
    if (!is_given(air->temperature_c) || !is_given(air->humidity_pct))
        return ABSENT;
    double temperature_k = deg_c_to_k(air->temperature_c), t = temperature_k / REFERENCE_K;
    double pressure = is_given(air->pressure_kpa) ? air->pressure_kpa / REFERENCE_KPA : 1;
    double water = water_pct(temperature_k, air->humidity_pct, pressure);
    /* Relaxation frequencies of oxygen (3) and nitrogen (4). */
    double oxygen_hz = pressure * (24 + 4.04e4 * water * (0.02 + water) / (0.391 + water));
    double nitrogen_hz = pressure / sqrt(t) * (9 + 280 * water * exp(-4.170 * (1 / cbrt(t) - 1)));
    /* Formula (5). */
    double classical = 1.84e-11 / pressure * sqrt(t);
    double oxygen = 0.01275 * exp(-2239.1 / temperature_k) / (oxygen_hz + hz * hz / oxygen_hz);
    double nitrogen = 0.1068 * exp(-3352.0 / temperature_k) / (nitrogen_hz + hz * hz / nitrogen_hz);
    return 8.686 * hz * hz * (classical + pow(t, -2.5) * (oxygen + nitrogen));
}
