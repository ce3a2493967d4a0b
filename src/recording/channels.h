/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_CHANNELS_H
#define THRUM_RECORDING_CHANNELS_H

/* Is the microphone on another channel? An open input holds noise and what leaks over from its neighbour. Only level
 * tells, so that a neighbour is named where it is 30 dB louder and the channel itself lies below -75 dBFS (common
 * practice); a tachometer or a time code beside a microphone at a sensible gain is no cause for doubt. */

#include "recording/finding.h"
#include "recording/recording.h"

/* Compares the channels from `start_s` on for up to five seconds, and adds a doubtful `channels` or nothing. False: the
 * file can't be read, or memory is out. */
bool channels_compare(struct recording *recording, int channel, double start_s, struct findings *findings,
                      struct err *err) MUST_CHECK;

#endif
