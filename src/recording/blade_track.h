/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_BLADE_TRACK_H
#define THRUM_RECORDING_BLADE_TRACK_H

/* The blade frequency of a recording as far as a first pass can judge it cheaply: from the means of boxes of about a
 * millisecond, a spectrum over a second (Hann window) every half second, and in it the strongest line within 15 % of
 * the expected blade frequency, where it stands 12 dB above the median of the lines there (noise alone reaches that in
 * fewer than one spectrum of a thousand). Only to see whether the speed holds still: the speed itself is measured
 * elsewhere. Expected frequencies above 0.35 of the box rate (350 Hz) and below 10 Hz are not tracked: every value is
 * ABSENT. */

#include "base/err.h"
#include "base/fft.h"

#include <stdbool.h>
#include <stddef.h>

#define BLADE_TRACK_HOP_BOXES ((size_t)500)

struct blade_track {
    double *items; /* blade frequency of second [j/2, j/2 + 1], Hz; owned */
    size_t count, capacity;
    double expected_hz, box_rate_hz;
    struct fft *fft; /* NULL: nothing is tracked */
    double *boxes, *window;
    size_t box_count;
};

bool blade_track_init(struct blade_track *track, double expected_hz, double box_rate_hz, struct err *err) MUST_CHECK;
void blade_track_clear(struct blade_track *track);

/* False: out of memory. */
bool blade_track_feed(struct blade_track *track, double box_mean) MUST_CHECK;

#endif
