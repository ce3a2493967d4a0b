/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_CURVES_H
#define THRUM_COMPARE_CURVES_H

/* The curves to draw: runs, fitted law with its band, and the slope. */

#include "compare/pairing.h"

#include <stdbool.h>

/* One curve for every cell of the grid that has runs. */
bool curves_add(const struct compare_job *job, const struct grid *grid) MUST_CHECK;

#endif
