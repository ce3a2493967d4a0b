/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_GAIN_H
#define THRUM_RECORDING_GAIN_H

/* From full scale to pascals: what a microphone's calibration says, checked (IEC 60942 calibrators; the drift limit
 * between before and after is common practice, 0.5 dB). Without a calibration the gain makes a full-scale sine read
 * 0 dB, so that every level of the program is dBFS (0 dBFS: the rms of a full-scale sine) by the same code.
 *
 * The gain is that of the recording made before; the one made after tells the drift. Its standard uncertainty holds the
 * calibrator's acceptance limit as a rectangle (IEC 60942:2017 class 1, 0.25 dB, for a microphone of class 1; class 2,
 * 0.40 dB, for any other), the greatest deviation of the tone's short-term levels as one, and the drift as a rectangle
 * from 0 to its value. Meter, position and repeatability are not in it. */

#include "campaign/campaign.h"
#include "recording/calibrator.h"
#include "recording/finding.h"

#include <stdbool.h>

struct gain {
    double pa_per_full_scale;
    bool is_absolute;               /* false: dBFS */
    double full_scale_sine_db;      /* level of a full-scale sine; 0 when not absolute */
    double standard_uncertainty_db; /* of the gain; ABSENT when not absolute, or stated by the user without one */
    double drift_db;                /* after minus before; ABSENT without an after recording */
    double frequency_hz;            /* of the calibrator, as found; ABSENT without a recording */
    char source[200];               /* "calibrator.wav: 94.0 dB at 1000.2 Hz reads −27.40 dBFS from 0.5 to 9.8 s" */
};

/* The gain of a microphone's channel; findings about the calibration (drift, distortion, noise) concern every run made
 * with it. */
bool gain_of_microphone(const struct microphone *microphone, const char *folder, int channel, struct gain *out,
                        struct findings *findings, struct err *err) MUST_CHECK;

/* Adds what is wrong with a calibrator's tone as it was recorded in `file`: distortion, noise. */
void gain_judge_calibrator(const struct calibrator_figures *figures, const char *file, struct findings *findings);

/* The gain that a level of a full-scale sine means; ABSENT gives dBFS. */
struct gain gain_of_full_scale(double full_scale_sine_db);

#endif
