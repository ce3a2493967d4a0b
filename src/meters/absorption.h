/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_ABSORPTION_H
#define THRUM_METERS_ABSORPTION_H

/* Attenuation of a pure tone by the air, ISO 9613-1:1993, clause 6, formulae (3) to (5) and (B.2), (B.3): dB per metre
 * at a frequency. ABSENT where temperature or humidity is not given; a pressure that is not given is 101.325 kPa.
 * Agrees with the 48 values of ISO 9613-2:1996, table 2, to half their last digit (tests/meters/check_air.c). */

#include "campaign/campaign.h"

/* Saturation pressure of water vapour in 101.325 kPa (B.3). */
double saturation_pressure_ratio(double temperature_k);

double absorption_db_m(const struct air *air, double hz);

#endif
