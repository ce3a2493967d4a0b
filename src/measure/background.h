/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_BACKGROUND_H
#define THRUM_MEASURE_BACKGROUND_H

/* The background at a microphone: level and band figures of a recording made with everything but the rotor running, and
 * how far a run stands above it. */

#include "campaign/campaign.h"
#include "meters/at_reference.h"
#include "recording/finding.h"
#include "recording/gain.h"

/* False when the recording can't be used as a background: unreadable, or unusable by its survey (err says why). Lesser
 * findings are added, worded for the runs that use this background. */
bool background_measure(const char *path, int channel, const struct gain *gain, struct figures *out,
                        struct findings *findings, struct err *err) MUST_CHECK;

/* The background of a campaign's microphone as recorded on one channel. False also where it is the recording of a run,
 * or a rotor of the campaign is running in it (rotor_running.h). The microphone has a background. */
bool background_of_microphone(const struct campaign *campaign, size_t microphone, int channel, const struct gain *gain,
                              struct figures *out, struct findings *findings, struct err *err) MUST_CHECK;

/* Adds the findings "low-snr" that measuring that part of a recording would give, and nothing else of it.
 * `conditions->background` is not NULL. */
bool background_compare(const char *path, int channel, double start_s, double end_s, const struct gain *gain,
                        const struct reference_conditions *conditions, struct findings *findings,
                        struct err *err) MUST_CHECK;

#endif
