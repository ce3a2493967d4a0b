/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/momentum.h"

#include "base/absent.h"
#include "base/units.h"
#include "meters/absorption.h"

#include <math.h>

#define GAS_CONSTANT_DRY_J_KG_K 287.05
#define GAS_CONSTANT_VAPOUR_J_KG_K 461.5
#define STANDARD_KPA 101.325

double air_density_kg_m3(const struct air *air)
{
    double temperature_k = deg_c_to_k(is_given(air->temperature_c) ? air->temperature_c : 15);
    double pressure_pa = kpa_to_pa(is_given(air->pressure_kpa) ? air->pressure_kpa : STANDARD_KPA);
    double humidity = is_given(air->humidity_pct) ? air->humidity_pct / 100 : 0;
    double vapour_pa = humidity * kpa_to_pa(STANDARD_KPA) * saturation_pressure_ratio(temperature_k);
    return (pressure_pa - vapour_pa) / (GAS_CONSTANT_DRY_J_KG_K * temperature_k) +
           vapour_pa / (GAS_CONSTANT_VAPOUR_J_KG_K * temperature_k);
}

double variant_disc_area_m2(const struct variant *variant)
{
    double radius_m = mm_to_m(variant->diameter_mm) / 2;
    return PI * radius_m * radius_m * (variant->rotors > 0 ? variant->rotors : 1);
}

double induced_velocity_m_s(double thrust_n, double disc_area_m2, double density_kg_m3)
{
    return sqrt(thrust_n / (2 * density_kg_m3 * disc_area_m2));
}

double ideal_hover_power_w(double thrust_n, double disc_area_m2, double density_kg_m3)
{
    return thrust_n * induced_velocity_m_s(thrust_n, disc_area_m2, density_kg_m3);
}

double figure_of_merit(double thrust_n, double power_w, double disc_area_m2, double density_kg_m3)
{
    return ideal_hover_power_w(thrust_n, disc_area_m2, density_kg_m3) / power_w;
}
