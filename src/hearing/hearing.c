/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/hearing.h"

#include "hearing/audibility.h"
#include "hearing/fluctuation.h"
#include "hearing/loudness_bands.h"
#include "hearing/loudness_time.h"
#include "hearing/roughness.h"
#include "meters/spectrum_meter.h"

#include <math.h>

const struct meter_kind *const hearing_meters[] = { &loudness_meter, &roughness_meter };
const size_t hearing_meter_count = sizeof hearing_meters / sizeof hearing_meters[0];

#define NO_ABSOLUTE                                                                                                    \
    "no calibration: loudness, sharpness, roughness, fluctuation strength, annoyance and the tonality of the whole "   \
    "sound are not relative and need levels in pascals"
#define NO_HIGH_BAND                                                                                                   \
    "the sample rate is below 32.1 kHz and does not hold the 12.5 kHz band: no loudness, sharpness, fluctuation "      \
    "strength or annoyance"
#define NO_AUDIBILITY "too short for lines of 4 Hz, which takes 0.7 s: no audibility of tones and no adjustment K_T"
#define NO_FLUCTUATION "less than 2.3 s: no fluctuation strength, hence no annoyance"
#define NO_ROUGHNESS "less than 0.2 s: no roughness either"

static bool are_lines_narrow(double sample_rate_hz, double used_s)
{
    size_t block_frames = spectrum_block_frames(sample_rate_hz, (uint64_t)llround(used_s * sample_rate_hz));
    return block_frames > 0 && sample_rate_hz / (double)block_frames <= AUDIBILITY_MOST_SPACING_HZ;
}

const char *hearing_absent_reason(bool is_absolute, double sample_rate_hz, double used_s)
{
    bool is_short = !are_lines_narrow(sample_rate_hz, used_s);
    if (!is_absolute)
        return is_short ? NO_ABSOLUTE "; " NO_AUDIBILITY : NO_ABSOLUTE;
    if (!loudness_rate_is_enough(sample_rate_hz)) {
        if (used_s < ROUGHNESS_FRAME_S)
            return NO_HIGH_BAND "; " NO_AUDIBILITY "; " NO_ROUGHNESS;
        return is_short ? NO_HIGH_BAND "; " NO_AUDIBILITY : NO_HIGH_BAND;
    }
    if (used_s < ROUGHNESS_FRAME_S)
        return NO_FLUCTUATION "; " NO_AUDIBILITY "; " NO_ROUGHNESS;
    if (used_s < FLUCTUATION_LEAST_USED_S)
        return is_short ? NO_FLUCTUATION "; " NO_AUDIBILITY : NO_FLUCTUATION;
    return NULL;
}
