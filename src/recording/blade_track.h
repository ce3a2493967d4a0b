/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_BLADE_TRACK_H
#define THRUM_RECORDING_BLADE_TRACK_H

/* The blade frequency of a recording as far as a first pass can judge it cheaply: from the means of boxes of about a
 * millisecond, a spectrum over a second (Hann window) every half second, and in it the strongest line within 15 %
 * (but at least 6 Hz) of the expected blade frequency, where it stands 12 dB above the median of the lines there (noise
 * alone reaches that in fewer than one spectrum of a thousand).
 *
 * Mains hum may be stronger than a first blade line, and the strongest line then now this, now that, as if the speed
 * jumped. So a line within 1.5 Hz of a multiple of 50 or 60 Hz counts only as long as no other line stands out beside
 * it in any second of the recording (the blade tone can't be at two places), not more than 20 dB below it.
 *
 * Only to see whether the speed holds still: the speed itself is measured elsewhere. Expected frequencies above 0.35 of
 * the box rate (350 Hz) and below 10 Hz are not tracked: every value is ABSENT. */

#include "base/err.h"
#include "base/fft.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define BLADE_TRACK_HOP_BOXES ((size_t)500)

struct blade_second {
    double hz;       /* of the strongest line that can't be mains hum, ABSENT: none stands out */
    double mains_hz; /* of the strongest that may be hum */
};

struct blade_track {
    struct blade_second *items; /* of second [j/2, j/2 + 1]; owned */
    size_t count, capacity;
    double expected_hz, box_rate_hz;
    struct fft *fft; /* NULL: nothing is tracked */
    double *boxes, *window;
    size_t box_count;
    uint32_t hums; /* a bit for each multiple of the mains' frequency that some second has beside another line */
};

bool blade_track_init(struct blade_track *track, double expected_hz, double box_rate_hz, struct err *err) MUST_CHECK;
void blade_track_clear(struct blade_track *track);

/* False: out of memory. */
bool blade_track_feed(struct blade_track *track, double box_mean) MUST_CHECK;

/* Blade frequency of a second when all is fed; ABSENT where it could not be read. */
double blade_track_hz(const struct blade_track *track, size_t second);

#endif
