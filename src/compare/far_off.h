/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_FAR_OFF_H
#define THRUM_COMPARE_FAR_OFF_H

/* Runs whose level lies far off what the other runs of their variant tell: a wrong channel, a gain that was moved, a
 * wrong line of the log. They stay in the comparison and are named. Medians find them, which a few such runs do not
 * move: docs/comparison.md, "Runs". */

#include "compare/pairing.h"

#include <stdbool.h>

/* Marks them in is_far_off, one for each run of the source, and tells a remark of each. */
bool far_off_tell(const struct compare_job *job, const struct grid *grid, bool *is_far_off, bool *any) MUST_CHECK;

#endif
