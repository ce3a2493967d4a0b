/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_MOMENTUM_H
#define THRUM_COMPARE_MOMENTUM_H

/* What the thrust costs at least: momentum theory of the hovering rotor (Leishman, Principles of Helicopter
 * Aerodynamics, chapter 2: from memory; P = T v follows from the two formulae). ABSENT in, ABSENT out. */

#include "campaign/campaign.h"

/* Density of moist air from temperature, pressure and humidity (ideal gases; saturation pressure as in ISO 9613-1:1993,
 * annex B). Parts that are not given are taken as 15 deg C, 101.325 kPa and dry: the standard atmosphere (ISO 2533),
 * 1.225 kg/m3. */
double air_density_kg_m3(const struct air *air);

/* Swept area of all rotors of a variant; ABSENT without a diameter. */
double variant_disc_area_m2(const struct variant *variant);

double induced_velocity_m_s(double thrust_n, double disc_area_m2, double density_kg_m3); /* sqrt(T / (2 rho A)) */
double ideal_hover_power_w(double thrust_n, double disc_area_m2, double density_kg_m3);  /* T^1.5 / sqrt(2 rho A) */

/* Ideal power over power spent: of shaft power the figure of merit; of electrical power the losses of motor and
 * controller are in it. */
double figure_of_merit(double thrust_n, double power_w, double disc_area_m2, double density_kg_m3);

#endif
