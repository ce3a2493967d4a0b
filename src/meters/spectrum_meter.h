/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_SPECTRUM_METER_H
#define THRUM_METERS_SPECTRUM_METER_H

/* Averaged narrow-band spectrum of the used part (Welch's method): periodic Hann window, half overlap, as figures.h
 * says.
 *
 * The block is the shortest power of two whose lines lie no more than 1 Hz apart (65536 at 48 kHz: 0.73 Hz), halved
 * while the used part does not hold four averages; spectrum.step_hz, block_frames and block_count tell. A part shorter
 * than SPECTRUM_SHORTEST_FRAMES has no spectrum (block_count 0). Frames behind the last whole block are not in it. */

#include "meters/meter.h"

#include <stddef.h>
#include <stdint.h>

#define SPECTRUM_SHORTEST_FRAMES 256

extern const struct meter_kind spectrum_meter;

/* Length of a block; 0 when there can be none. */
size_t spectrum_block_frames(double sample_rate_hz, uint64_t frame_count);

#endif
