/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_RIDGE_H
#define THRUM_ROTOR_RIDGE_H

/* Tones that move through the recording by more than an averaged spectrum can show: a rotor that runs up, or whose
 * voltage sags. Short windows (0.2 s, half overlap; at most WINDOWS_MOST, spread evenly) give each line's height above
 * its own lower quartile through time, so that what stands still is level ground. The path of the greatest sum of
 * heights from the first window to the last, by dynamic programming, is a ridge; the next is looked for beside it. The
 * step from window to window is bounded by a change of SPAN_MOST through the recording, two and a half times as fast in
 * places. Which part makes a ridge is not asked here: along its course the comb is judged as ever (wander.h). Status:
 * derived; the figures are common practice. Measured by bench-rotor-ramps. */

#include "recording/pressure.h"
#include "rotor/track.h"

#include <stddef.h>

#define RIDGES_MOST 3
#define RIDGES_SURE 2         /* so many are no chance */
#define RIDGE_SPAN_LEAST 0.04 /* of its mean; less is no ramp */
#define RIDGE_SPAN_MOST 0.45

struct ridges {
    struct track items[RIDGES_MOST]; /* owned; courses of tones, not of a shaft; the highest first */
    size_t count;
};

bool ridges_find(struct pressure *pressure, struct ridges *out, struct err *err) MUST_CHECK;
void ridges_clear(struct ridges *ridges);

#endif
