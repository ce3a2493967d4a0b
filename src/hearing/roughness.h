/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_ROUGHNESS_H
#define THRUM_HEARING_ROUGHNESS_H

/* Roughness in asper by the model of Daniel and Weber 1997 (Acustica 83, 113-123; details from memory), with its
 * carrier weight g taken once, not squared, and the constant set so that the reference sound (1 kHz, 60 dB, modulated
 * fully at 70 Hz) has 1 asper: only so do other carriers come out as published. Chosen because its curves over
 * modulation rate and carrier are published and it takes any sound; ECMA-418-2's model was not read.
 *
 * A meter: frames of 200 ms, back to back, at most ROUGHNESS_MOST_FRAMES spread evenly over the used part; the mean
 * over frames. Needs an absolute gain and 0.2 s: else ABSENT. Bark above half the rate is not there. */

#include "meters/meter.h"

#define ROUGHNESS_FRAME_S 0.2
#define ROUGHNESS_MOST_FRAMES 300

extern const struct meter_kind roughness_meter;

#endif
