/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_SLOPES_H
#define THRUM_COMPARE_SLOPES_H

/* Level against lg of the tip speed or speed, as a check that all is well with the data: by the common rules a rotor's
 * A-level rises as 50 to 60 lg of its speed (common practice; dipole sound, Wunderli et al. 2023 fit such slopes). */

#include "compare/compare.h"

#include <stdbool.h>

#define SLOPE_RULE_LOW_DB 50.0
#define SLOPE_RULE_HIGH_DB 60.0

/* One remark for each fitted A-level curve against tip speed, or against speed where there is none: its slope with its
 * interval beside the rule, and a warning when the whole interval lies more than 10 dB per decade off it. */
bool slopes_tell(struct comparisons *list, bool names_microphones, struct err *err) MUST_CHECK;

#endif
