/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_SHARPNESS_H
#define THRUM_HEARING_SHARPNESS_H

#include "hearing/zwicker.h"

/* Sharpness in acum to DIN 45692:2009-08, clause 5.2, equation (1), of a specific loudness given every 0.1 bark. The
 * factor k is such that the reference sound (noise one critical band wide at 1 kHz, 60 dB) has 1 acum; it lies in the
 * standard's range [0.105, 0.115). ABSENT for silence, which has no sharpness. */
double sharpness_acum(const double pattern[static ZWICKER_PATTERN_COUNT]);

#endif
