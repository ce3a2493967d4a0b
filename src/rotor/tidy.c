/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/tidy.h"

#include "rotor/naming.h"
#include "rotor/tone.h"

#include <stdbool.h>

#define LOW_HZ 20.0
#define LOW_MARGIN_DB 6.0
#define HIGH_HZ 1000.0
#define MASKED_DB (-10.0)

static bool is_worth_telling(const struct tone *tone, const struct spectrum *spectrum)
{
    bool is_unexplained = tone_is_unexplained(tone);
    if (tone->hz < LOW_HZ)
        return !is_unexplained && tone->uncertainty_hz <= TONE_STEADY_LINES * spectrum->step_hz &&
               tone->line_ratio_db >= tone_least_ratio_db(spectrum, TONE_CHANCE) + LOW_MARGIN_DB;
    return !(is_unexplained && tone->hz > HIGH_HZ && tone->above_noise_db < MASKED_DB);
}

size_t tones_tidy(struct tone *tones, size_t count, const struct spectrum *spectrum)
{
    size_t left = 0;
    for (size_t i = 0; i < count; i++)
        if (is_worth_telling(&tones[i], spectrum))
            tones[left++] = tones[i];
    return left;
}
