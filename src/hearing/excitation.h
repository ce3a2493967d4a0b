/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_EXCITATION_H
#define THRUM_HEARING_EXCITATION_H

/* Envelopes of a short frame of sound in 47 channels, one bark wide and half a bark apart, as a model of the ear by
 * excitation patterns has them (Terhardt 1979 and Aures 1985, as used by Daniel and Weber 1997; from memory): the lines
 * of a Blackman-windowed frame, through the ear's gain, enter each channel whole inside its bark and weakened by
 * 27 dB/bark from above, by 24 + 230/f - 0.2 L dB/bark from below, phases kept, while above the channel's threshold.
 *
 * The envelope is the magnitude of the channel's analytic signal. It is sampled ENVELOPE_COUNT times over the frame by
 * folding the lines onto that many bins before the inverse transform: the samples are exact whatever the carrier. */

#include "base/err.h"
#include "base/fft.h"

#include <stddef.h>

#define EXCITATION_CHANNEL_COUNT 47
#define ENVELOPE_COUNT 512

struct excitation;

/* Frames of `frame_count` samples at a rate. */
struct excitation *excitation_new(size_t frame_count, double rate_hz, struct err *err);
void excitation_free(struct excitation *excitation);

/* Takes a frame of sound pressures. */
void excitation_take(struct excitation *excitation, const double *pressure_pa);

/* Envelope of a channel (0 to 46, middle at 0.5 (channel + 1) bark), in pascals times a constant; false for a channel
 * that nothing excites (*out is then untouched). */
bool excitation_envelope(struct excitation *excitation, size_t channel, double out[static ENVELOPE_COUNT]);

#endif
