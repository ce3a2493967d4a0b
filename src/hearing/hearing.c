/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/hearing.h"

#include "hearing/loudness_bands.h"
#include "hearing/loudness_time.h"
#include "hearing/roughness.h"

const struct meter_kind *const hearing_meters[] = { &loudness_meter, &roughness_meter };
const size_t hearing_meter_count = sizeof hearing_meters / sizeof hearing_meters[0];

/* 0.3 s in which the filters settle, and one frame of fluctuation strength. */
#define LEAST_USED_S 2.3

const char *hearing_absent_reason(bool is_absolute, double sample_rate_hz, double used_s)
{
    if (!is_absolute)
        return "no calibration: loudness, sharpness, roughness, fluctuation strength and annoyance are not relative "
               "and "
               "need levels in pascals";
    if (!loudness_rate_is_enough(sample_rate_hz))
        return "the sample rate is below 32.1 kHz and does not hold the 12.5 kHz band: no loudness, sharpness, "
               "fluctuation strength or annoyance";
    if (used_s < LEAST_USED_S)
        return "less than 2.3 s: no fluctuation strength, hence no annoyance";
    return NULL;
}
