/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_TIDY_H
#define THRUM_ROTOR_TIDY_H

/* Which of the named tones are worth telling. Two kinds are left out:
 *   below 20 Hz: all but tones that a line of the drive explains, that are no wider than a steady tone and that stand
 *     6 dB higher out of the noise than tones elsewhere must. Few lines lie there, noise of wind and handling is steep
 *     and cut off by the recorder, and the floor under it is uncertain.
 *   above 1 kHz: unexplained tones more than 10 dB below the noise in their critical band. A tone is masked from about
 *     2 to 6 dB below that noise (masking index of ISO/PAS 20065, -2 - lg(1 + (f / 502 Hz)^2.5) dB, from memory):
 *     nobody hears it, and no part of the drive is behind it. Edges of lossy coders make such lines by the dozen.
 * A tone that a part explains stays, however weak. Common practice but for the masking index. */

#include "rotor/rotor.h"

#include <stddef.h>

/* Moves what is left to the front, in order; how many that are. `spectrum` is the one the tones come from. */
size_t tones_tidy(struct tone *tones, size_t count, const struct spectrum *spectrum);

#endif
