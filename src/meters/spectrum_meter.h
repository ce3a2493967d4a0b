/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_SPECTRUM_METER_H
#define THRUM_METERS_SPECTRUM_METER_H

/* Averaged narrow-band spectrum of the used part (Welch's method): periodic Hann window, half overlap, as figures.h
 * says.
 *
 * The block makes lines that lie 0.75 Hz apart or a little less (64000 frames at 48 kHz), of a length that the
 * transform is fast at; where the used part does not hold four averages of it, the longest such length that leaves
 * four. spectrum.step_hz, block_frames and block_count tell. A part shorter than SPECTRUM_SHORTEST_FRAMES has no
 * spectrum (block_count 0). Frames behind the last whole block are not in it.
 *
 * The window is applied to the lines, where it is -1/4, 1/2, -1/4 over three neighbours; that is the same to rounding.
 */

#include "meters/meter.h"

#include <stddef.h>
#include <stdint.h>

#define SPECTRUM_SHORTEST_FRAMES 256

extern const struct meter_kind spectrum_meter;

/* Length of a block; 0 when there can be none. */
size_t spectrum_block_frames(double sample_rate_hz, uint64_t frame_count);

#endif
