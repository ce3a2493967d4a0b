/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_TACH_H
#define THRUM_ROTOR_TACH_H

/* Speed from a tachometer's pulses on another channel of the recording, in the same clock as the sound. The pulse
 * height is the median over tenths of a second of greatest less smallest sample; a pulse is a rise through the middle
 * after the signal was below the middle less a fifth of the height (hysteresis), its time interpolated between the two
 * samples. An interval shorter than 0.7 of the running median is a glitch and dropped; one near a whole multiple of it
 * is lost pulses and counted; any other starts anew (rules from memory, reference notes on order tracking). With teeth
 * of unequal spacing only whole turns are counted. Reading edges as whole samples would give steps of f / rate a turn
 * (0.21 % at 100 rev/s and 48 kHz, derived); interpolation leaves a hundredth of it (tests/rotor/second.c). */

#include "rotor/track.h"

#include <stdbool.h>

struct tach_report {
    size_t pulse_count, glitch_count, lost_count;
    double height; /* of the pulses, full scale */
};

/* Fills the track of the rotor's shaft from the used part's pulses. Count 0 where there are too few pulses. False only
 * when the recording can't be read. */
bool track_by_tach(const struct pressure *pressure, int tach_channel, double pulses_per_rev, struct track *out,
                   struct tach_report *report, struct err *err) MUST_CHECK;

#endif
