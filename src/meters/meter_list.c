/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/meter_list.h"

#include "meters/band_meter.h"
#include "meters/level_meter.h"
#include "meters/spectrum_meter.h"

const struct meter_kind *const level_meters[] = { &level_meter, &third_octave_meter, &fraction_meter, &spectrum_meter };
const size_t level_meter_count = sizeof level_meters / sizeof level_meters[0];
