/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_ABSENT_H
#define THRUM_BASE_ABSENT_H

/* A figure that can't be given is absent. Inside the program an absent double is a NaN and nothing else is; it spreads
 * through arithmetic by itself. Writers show it as a dash or null, and a finding or a note says why it is absent.
 * A level of silence is -INFINITY, which is not absent: there was nothing to hear. */

#include <math.h>
#include <stdbool.h>

#define ABSENT ((double)NAN)

static inline bool is_given(double value)
{
    return !isnan(value);
}

#endif
