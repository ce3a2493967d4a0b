/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/hearing.h"

#include "hearing/loudness_time.h"
#include "hearing/roughness.h"

const struct meter_kind *const hearing_meters[] = { &loudness_meter, &roughness_meter };
const size_t hearing_meter_count = sizeof hearing_meters / sizeof hearing_meters[0];
