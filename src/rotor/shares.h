/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_SHARES_H
#define THRUM_ROTOR_SHARES_H

/* How much of the A-weighted energy is blade tones, other named tones, unexplained tones and broadband noise. A tone
 * carries the weight at its frequency; the rest of the spectrum is broadband. A-weighting by the analytic curve of IEC
 * 61672-1:2013, annex E. Absent for a silent spectrum. */

#include "rotor/rotor.h"

struct shares shares_of_energy(const struct spectrum *spectrum, const struct tone *tones, size_t tone_count);

#endif
