/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_LOUDNESS_BANDS_H
#define THRUM_HEARING_LOUDNESS_BANDS_H

/* Third-octave powers against time for loudness (ISO 532-1:2017, clause 6 and annex A.2): 28 bands from 25 Hz to 12.5
 * kHz, squared, smoothed by three low-passes of tau = 2/(3 f) (f: mid-frequency, at most 1 kHz), one value every 0.5
 * ms.
 *
 * Each filter is the third-order Chebyshev design of 0.00363 dB ripple that the annex's coefficients at 48 kHz turn out
 * to be (to about 1e-5 where they are remembered), with edges prewarped for the rate at hand. Lower octaves run at
 * lower rates: the eight bands from 2.5 kHz up at the full rate, four at a half, four at a quarter, four at an eighth,
 * eight at a sixteenth of it. Rates from 80 kHz are halved first; rates below 32.1 kHz do not hold the highest band. */

#include "base/lanes.h"
#include "hearing/half_band.h"
#include "hearing/zwicker.h"

#include <stdbool.h>
#include <stddef.h>

#define LOUDNESS_FRAMES_PER_S 2000
#define LOUDNESS_CHUNK_FRAMES 384 /* at the inner rate */
#define LOUDNESS_CHUNK_MOST_LEVELS (LOUDNESS_CHUNK_FRAMES * LOUDNESS_FRAMES_PER_S / 32000 + 2)
#define LOUDNESS_LEAST_RATE_HZ 32103.0 /* the 12.5 kHz band's upper edge is 0.44 of it */

#define LOUDNESS_NUMERATOR_REACH 6
#define LOUDNESS_GROUP_COUNT 7 /* of LANES bands each */
struct loudness_group {
    double a1[3][LANES], a2[3][LANES];
    double y1[3][LANES], y2[3][LANES];        /* what each section gave before */
    double past_pa[LOUDNESS_NUMERATOR_REACH]; /* the last samples fed */
    double smooth[3][LANES], smooth_part[LANES], gain_power[LANES];
    size_t samples_per_tick; /* of its own rate, summed before the smoothing */
    size_t input_per_tick;   /* of the inner rate */
    int halvings;
    int first_band; /* 0: 25 Hz */
};

struct loudness_bands {
    double inner_rate_hz;
    int outer_halvings; /* from the recording's rate to the inner one */
    size_t frames_run;  /* at the inner rate */
    size_t levels_run;
    struct loudness_group groups[LOUDNESS_GROUP_COUNT];
    struct half_band inner[4];
    double halved[4][LOUDNESS_CHUNK_FRAMES / 2];
};

bool loudness_rate_is_enough(double rate_hz);
void loudness_bands_init(struct loudness_bands *bands, double rate_hz);

/* Runs LOUDNESS_CHUNK_FRAMES frames at the inner rate; returns how many rows of `power_pa2` it filled. `row_end[i]` is
 * the number of inner frames from the start of it all at which row i stands. */
size_t loudness_bands_run(struct loudness_bands *bands, const double *pressure_pa,
                          double power_pa2[static LOUDNESS_CHUNK_MOST_LEVELS][ZWICKER_BAND_COUNT],
                          size_t row_end[static LOUDNESS_CHUNK_MOST_LEVELS]);

#endif
