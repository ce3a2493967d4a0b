/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/units.h"
#include "compare/momentum.h"

/* The handbook case: 5 N from a rotor of 10 in (0.254 m) in air of 1.225 kg/m3. Goals from momentum theory, P = T v,
 * worked to eight digits apart from this program. */
static void handbook_case(void)
{
    struct variant variant;
    variant_init(&variant);
    variant.diameter_mm = 254;
    double area_m2 = variant_disc_area_m2(&variant);
    double power_w = ideal_hover_power_w(5, area_m2, 1.225);
    tap_near(power_w, 31.731698, 5e-7, "ideal power, W");
    tap_near(induced_velocity_m_s(5, area_m2, 1.225), 6.3463395, 5e-8, "induced velocity, m/s");
    static const struct {
        double merit, grams_per_watt;
    } loadings[] = {
        { 0.4, 6.4271141 },
        { 0.5, 8.0338927 },
        { 0.6, 9.6406712 },
        { 0.7, 11.24745 },
    };
    for (int i = 0; i < 4; i++) {
        double spent_w = 5 / (grams_force_to_n(1) * loadings[i].grams_per_watt);
        tap_near(figure_of_merit(5, spent_w, area_m2, 1.225), loadings[i].merit, 1e-7, "figure of merit at %g g/W",
                 loadings[i].grams_per_watt);
    }
    /* in coefficients, CT^1.5 / (sqrt 2 CP) with the tip speed of 80 m/s, which cancels */
    double unit = 1.225 * area_m2 * 80 * 80, spent_w = power_w / 0.6;
    double ct = 5 / unit, cp = spent_w / (unit * 80);
    tap_near(figure_of_merit(5, spent_w, area_m2, 1.225), pow(ct, 1.5) / (sqrt(2) * cp), 1e-12, "by coefficients");
    variant.rotors = 4;
    tap_near(variant_disc_area_m2(&variant), 4 * area_m2, 1e-15, "four rotors");
    variant.diameter_mm = ABSENT;
    tap_ok(!is_given(variant_disc_area_m2(&variant)), "no diameter, no area");
    variant_clear(&variant);
}

static void air(void)
{
    struct air air = { ABSENT, ABSENT, ABSENT, ABSENT };
    tap_near(air_density_kg_m3(&air), 1.225, 0.0005, "standard atmosphere (ISO 2533)");
    air = (struct air){ .temperature_c = 20, .humidity_pct = 50, .pressure_kpa = 101.325 };
    /* 1.199 kg/m3: BIPM's CIPM-2007 formula at 20 deg C, 50 %, 101325 Pa gives 1.1992 (from memory) */
    tap_near(air_density_kg_m3(&air), 1.1992, 0.001, "room air");
}

int main(void)
{
    handbook_case();
    air();
    return tap_done();
}
