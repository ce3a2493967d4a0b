/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_STEADY_H
#define THRUM_RECORDING_STEADY_H

/* The steady part of a recording, by this rule (common practice, ours in its figures):
 *
 * 1. The level of what changes within a millisecond (steps.h), which is low frequencies weakened about as A does, is
 *    averaged over half a second, stepped by a tenth. Where a blade frequency is expected, the strongest line near it
 *    is followed, a second at a time (blade_track.h).
 * 2. The longest stretch in which the levels stay within STEADY_RANGE_DB (largest minus least) and the blade frequency
 *    within STEADY_SPEED_PCT, as far as it could be read, is the steady part; of equally long ones the earlier. Silence
 *    has no level and is never part of it.
 * 3. At both ends of it, tenths of a second that lie more than half of the range from its median level are left out:
 *    the half second hides the start of a ramp. At the start and the end of the recording itself only a tenth that is
 *    off by the whole range is left out (a fade), so that a steady recording is used whole; a rest of less than half a
 *    tenth at its end goes with the tenth before.
 * 4. A steady part below 1 s is none: all but the silent ends is used then, and the survey says that it is unsteady. */

#include "recording/steps.h"

#include <stdbool.h>

#define STEADY_RANGE_DB 3.0
#define STEADY_SPEED_PCT 4.0 /* 2 % either way, as a log's default tolerance */
#define STEADY_LEAST_S 1.0
#define STEADY_AVERAGE_STEPS 5

struct steady {
    size_t first, end; /* steps [first, end) */
    bool is_found;     /* false: all steps but silent ones at the ends */
    bool is_whole;     /* all steps, and steady */
    double range_db;   /* of the half-second levels in it; ABSENT when it is too short for one */
};

/* False: out of memory. */
bool steady_find(const struct steps *steps, struct steady *out) MUST_CHECK;

/* Range of the half-second levels within steps [first, end); ABSENT when there is none, INFINITY with silence. */
double steady_range_db(const struct steps *steps, size_t first, size_t end);

/* Range of the blade frequency within them, in percent; ABSENT when it was not followed there. */
double steady_speed_range_pct(const struct steps *steps, size_t first, size_t end);

#endif
