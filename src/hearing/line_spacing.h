/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_LINE_SPACING_H
#define THRUM_HEARING_LINE_SPACING_H

/* A fine averaged spectrum seen through a wider Hann window: each coarse line is the fine lines weighted by the power
 * response of a Hann window of the coarse spacing. Tones and noise keep their powers: the sum of the lines over
 * enbw_lines is the power as before. `out->pa2` is owned (free it). */

#include "base/err.h"
#include "meters/figures.h"

#include <stdbool.h>
#include <stddef.h>

/* Spacing `factor` times that of `fine`; 1 copies. */
bool spectrum_widen(const struct spectrum *fine, size_t factor, struct spectrum *out, struct err *err) MUST_CHECK;

#endif
