/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/tone_groups.h"

#include "hearing/critical_band.h"

#include <math.h>

static size_t strongest_left(const double *power_pa2, const size_t *primary, size_t count)
{
    size_t strongest = count;
    for (size_t i = 0; i < count; i++)
        if (primary[i] == count && (strongest == count || power_pa2[i] > power_pa2[strongest]))
            strongest = i;
    return strongest;
}

void tone_groups_find(const double *hz, const double *power_pa2, size_t count, critical_band_place *place,
                      size_t *primary)
{
    for (size_t i = 0; i < count; i++)
        primary[i] = power_pa2[i] > 0 ? count : i; /* count: not yet told */
    for (;;) {
        size_t strongest = strongest_left(power_pa2, primary, count);
        if (strongest == count)
            return;
        double low_hz, high_hz, primary_hz = hz[strongest];
        place(primary_hz, &low_hz, &high_hz);
        if (primary_hz < 1000) {
            low_hz = fmax(low_hz, primary_hz - proximity_hz(primary_hz));
            high_hz = fmin(high_hz, primary_hz + proximity_hz(primary_hz));
        }
        for (size_t i = 0; i < count; i++)
            if (primary[i] == count && hz[i] > low_hz && hz[i] < high_hz)
                primary[i] = strongest;
        primary[strongest] = strongest;
    }
}
