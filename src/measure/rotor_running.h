/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_ROTOR_RUNNING_H
#define THRUM_MEASURE_ROTOR_RUNNING_H

/* Is a rotor running in what is said to be a background? Of the tones in it (rotor/tone.h) those are counted that are
 * multiples 1 to 8, within 0.3 %, of one frequency within a run's tolerance of its logged blade frequency; four of them
 * are a rotor. Tones within 0.1 % of a multiple of 50 or 60 Hz are no sign of one. Common practice; ours in its
 * figures. */

#include "campaign/campaign.h"
#include "meters/figures.h"

/* Looks for the rotor of every run that was made with this microphone on this channel. False: one is running, and err
 * (ERR_AUDIO) says which, or memory is out. */
bool rotor_is_silent(const struct campaign *campaign, size_t microphone, int channel, const struct spectrum *background,
                     struct err *err) MUST_CHECK;

#endif
