/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_UNITS_H
#define THRUM_BASE_UNITS_H

/* The only place where units are converted. Levels of sound pressure are re 20 uPa (ISO 1683:2015). */

#include <math.h>

#define PI 3.14159265358979323846
#define REFERENCE_PRESSURE_PA 20e-6
#define STANDARD_GRAVITY_M_S2 9.80665 /* CGPM 1901, exact by definition */

/* 10 lg of a ratio of powers; -INFINITY at 0. */
static inline double power_ratio_to_db(double ratio)
{
    return 10.0 * log10(ratio);
}

static inline double db_to_power_ratio(double level_db)
{
    return pow(10.0, level_db / 10.0);
}

static inline double amplitude_ratio_to_db(double ratio)
{
    return 20.0 * log10(ratio);
}

static inline double db_to_amplitude_ratio(double level_db)
{
    return pow(10.0, level_db / 20.0);
}

/* Level of a mean-square sound pressure. */
static inline double pa2_to_db(double mean_square_pa2)
{
    return power_ratio_to_db(mean_square_pa2 / (REFERENCE_PRESSURE_PA * REFERENCE_PRESSURE_PA));
}

static inline double db_to_pa2(double level_db)
{
    return REFERENCE_PRESSURE_PA * REFERENCE_PRESSURE_PA * db_to_power_ratio(level_db);
}

static inline double rpm_to_hz(double rpm)
{
    return rpm / 60.0;
}

static inline double hz_to_rpm(double hz)
{
    return hz * 60.0;
}

static inline double grams_force_to_n(double grams)
{
    return grams * 1e-3 * STANDARD_GRAVITY_M_S2;
}

static inline double v_to_mv(double v)
{
    return v * 1e3;
}

static inline double mm_to_m(double mm)
{
    return mm * 1e-3;
}

static inline double kpa_to_pa(double kpa)
{
    return kpa * 1e3;
}

static inline double deg_c_to_k(double deg_c)
{
    return deg_c + 273.15;
}

/* Speed of sound in dry air as an ideal gas, sqrt(1.4 R T) with R = 287.05 J/(kg K); 343.2 m/s at 20 deg C. */
static inline double sound_speed_m_s(double deg_c)
{
    return sqrt(1.4 * 287.05 * deg_c_to_k(deg_c));
}

#endif
