/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_RANKING_H
#define THRUM_COMPARE_RANKING_H

/* The order of the variants by A-level, as far as the intervals of their differences allow one. */

#include "compare/axis.h"
#include "compare/pairing.h"

#include <stdbool.h>

/* One remark for each of the axis's points and microphone: "at 3 N, quietest first: slow5, then swept3 or stock2". A
 * step is told only where every variant before it differs clearly from every one behind it. */
bool ranking_tell(const struct compare_job *job, const struct axis *axis, const struct grid *grid) MUST_CHECK;

#endif
