/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_OPERATING_H
#define THRUM_COMPARE_OPERATING_H

/* Operating points: where a run stands on each axis, and where variants are compared. */

#include "measure/run_result.h"

#include <stdbool.h>
#include <stddef.h>

/* The value of the run on this axis; ABSENT or not above 0: it has none. A logged speed that the sound contradicts (a
 * blade line called shifted) is replaced by the measured speed; so is one that was not logged. */
double operating_value(const struct run_result *run, const struct variant *variant, enum operating_quantity quantity);

/* True when operating_value took the measured speed although another one was logged: a blade line is shifted, and the
 * measured speed lies outside the log's tolerance. */
bool operating_log_was_wrong(const struct run_result *run);

/* Which quantity says most of what a rotor is for, first: thrust, power, tip speed, speed, throttle. */
extern const enum operating_quantity operating_order[OPERATING_QUANTITY_COUNT];

const char *operating_unit(enum operating_quantity quantity); /* "N", "W", "rev/min", "m/s", "%" */
const char *operating_name(enum operating_quantity quantity); /* "thrust", "power", "speed", "tip speed", "throttle" */

/* Three values spread over [low, high], rounded to as few digits (2 to 4) as keep them apart and inside, else the bare
 * ends and their geometric mean; the mean alone where the range is narrower than 10 %, and neighbours would say the
 * same. Returns how many. */
size_t operating_spread(double low, double high, double out[3]);

#endif
