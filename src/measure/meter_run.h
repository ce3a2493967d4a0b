/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_METER_RUN_H
#define THRUM_MEASURE_METER_RUN_H

/* The one pass: every block of the used part, once, through every meter of a list. */

#include "meters/meter.h"
#include "recording/pressure.h"

/* Feeds `pressure` from its start (with up to one second before it, to settle filters) to `count` meters, which then
 * give their figures in the list's order. `setup` tells the rest of what meters must know; its rate and lengths are
 * filled here. */
bool meter_run(const struct meter_kind *const *kinds, size_t count, const struct meter_setup *setup,
               struct pressure *pressure, struct figures *figures, struct err *err) MUST_CHECK;

#endif
