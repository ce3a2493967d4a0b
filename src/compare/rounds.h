/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_ROUNDS_H
#define THRUM_COMPARE_ROUNDS_H

/* Repeats that were recorded later and all lie off the earlier ones by the same step: docs/comparison.md, "Rounds". */

#include "compare/pairing.h"

/* A remark where the grid's repeats, in the order of the log, say so. */
bool rounds_tell(const struct compare_job *job, const struct grid *grid) MUST_CHECK;

#endif
