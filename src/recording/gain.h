/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_GAIN_H
#define THRUM_RECORDING_GAIN_H

/* From full scale to pascals: what a microphone's calibration says, checked (IEC 60942 calibrators; the drift limit
 * between before and after is common practice, 0.5 dB). Without a calibration the gain makes a full-scale sine read
 * 0 dB, so that every level of the program is dBFS (0 dBFS: the rms of a full-scale sine) by the same code. */

#include "campaign/campaign.h"
#include "recording/finding.h"

#include <stdbool.h>

/* What one calibrator recording shows. */
struct calibrator_figures {
    double level_dbfs; /* rms of the steady part at the calibrator's frequency */
    double frequency_hz;
    double start_s, end_s; /* the steady part */
    double steadiness_db;  /* greatest deviation of its short-term levels from their mean */
    double distortion_pct; /* harmonics 2 to 5, rms, re the tone */
    double noise_db;       /* the rest, re the tone */
};

/* Measures a calibrator recording of nominal `frequency_hz` (ABSENT: 1000). Refused (false, ERR_AUDIO): clipped, too
 * short, no tone within 2 % of the frequency, not steady within 0.1 dB. */
bool calibrator_measure(const char *path, int channel, double frequency_hz, struct calibrator_figures *out,
                        struct err *err) MUST_CHECK;

struct gain {
    double pa_per_full_scale;
    bool is_absolute;               /* false: dBFS */
    double full_scale_sine_db;      /* level of a full-scale sine; 0 when not absolute */
    double standard_uncertainty_db; /* of the gain; ABSENT when not absolute */
    double drift_db;                /* after minus before; ABSENT without an after recording */
    double frequency_hz;            /* of the calibrator, as found; ABSENT without a recording */
    char source[200];               /* "calibrator.wav: 94.0 dB at 1000.2 Hz reads -27.4 dBFS" */
};

/* The gain of a microphone's channel; findings about the calibration (drift, distortion, noise) concern every run made
 * with it. */
bool gain_of_microphone(const struct microphone *microphone, const char *folder, int channel, struct gain *out,
                        struct findings *findings, struct err *err) MUST_CHECK;

/* The gain that a level of a full-scale sine means; ABSENT gives dBFS. */
struct gain gain_of_full_scale(double full_scale_sine_db);

#endif
