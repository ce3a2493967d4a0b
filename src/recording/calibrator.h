/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_CALIBRATOR_H
#define THRUM_RECORDING_CALIBRATOR_H

/* A recording of a sound calibrator (IEC 60942): its steady part, and what the tone reads there.
 *
 * The recording is cut into pieces of 0.2 s, half overlapping, each seen through a Hann window and one transform. The
 * tone of a piece is its strongest line; frequency and level come from the two largest lines in closed form, exact for
 * a single steady tone, so that neither the background nor the place between two lines adds to the level: noise counts
 * only within 1.5 lines (7.5 Hz). The steady part is the longest stretch of pieces whose tone lies within 2 % of the
 * nominal frequency and within 0.1 dB of the stretch's mean, not more than 3 dB below the loudest piece.
 * A second stretch as long as is needed, up to 25 dB quieter or louder but by more than 1 dB, is another setting of the
 * calibrator's switch. */

#include "base/err.h"

#include <stdbool.h>

#define CALIBRATOR_STEADY_DB 0.1
#define CALIBRATOR_LEAST_S 1.0
#define CALIBRATOR_FREQUENCY_PCT 2.0

/* What one calibrator recording shows. */
struct calibrator_figures {
    double level_dbfs; /* of the tone in the steady part; 0 dBFS: the rms of a full-scale sine */
    double frequency_hz;
    double start_s, end_s; /* the steady part */
    double steadiness_db;  /* greatest deviation of its short-term levels from their mean */
    double distortion_pct; /* harmonics 2 to 5 as far as recorded, rms, re the tone */
    double noise_db;       /* the rest, re the tone; -INFINITY for none */
};

/* Measures a calibrator recording of nominal `frequency_hz` (ABSENT: 1000). Refused (false, ERR_AUDIO): clipped, too
 * short, no tone within 2 % of the frequency, not steady within 0.1 dB, steady at two levels, or a
 * frequency below 60 Hz or above 0.45 of the sample rate. *out is untouched then.
 */
bool calibrator_measure(const char *path, int channel, double frequency_hz, struct calibrator_figures *out,
                        struct err *err) MUST_CHECK;

#endif
