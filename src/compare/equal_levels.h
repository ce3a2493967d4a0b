/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_EQUAL_LEVELS_H
#define THRUM_COMPARE_EQUAL_LEVELS_H

/* The other way round: at which operating value each variant reaches a level. The interval is the inversion of the
 * fit's confidence band (Fieller's interval, where the law is a straight line): all operating values at which the level
 * lies within the band. An end that was not measured is absent. */

#include "compare/pairing.h"

#include <stdbool.h>

/* For each microphone up to three whole-dB levels, spread over what all fitted variants were measured at. */
bool equal_levels_add(const struct compare_job *job, const struct grid *grid) MUST_CHECK;

#endif
