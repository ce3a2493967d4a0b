/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_WHAT_IF_H
#define THRUM_COMPARE_WHAT_IF_H

/* By how much the A-level would fall if one source were silent and nothing else changed: 10 lg(1 - share) of its share
 * of the A-weighted energy (energy.h), so the most that work on that source can bring. Told of every variant at every
 * microphone, at each point where its A-level is compared; where it is compared nowhere, at the middle one of its own
 * operating points. Between two operating points the shares are interpolated in lg of the operating value, from the
 * means of the runs at each. The rules are in docs/comparison.md. */

#include "compare/pairing.h"

#include <stdbool.h>

/* After the A-levels were compared on this axis; `levels` is the grid of the A-level. */
bool what_ifs_add(const struct compare_job *job, const struct grid *levels) MUST_CHECK;

#endif
