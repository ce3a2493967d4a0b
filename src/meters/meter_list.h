/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_METER_LIST_H
#define THRUM_METERS_METER_LIST_H

/* The meters of this room, in the order of their figures. A new one is a line here. */

#include "meters/meter.h"

#include <stddef.h>

extern const struct meter_kind *const level_meters[];
extern const size_t level_meter_count;

#endif
