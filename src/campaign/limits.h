/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_LIMITS_H
#define THRUM_CAMPAIGN_LIMITS_H

/* The limits of what the campaign's files and the command line both take. They are wide, from indoor toys to wind
 * turbines: they catch slips of the unit and of the decimal point. */

#define RPM_LEAST 1
#define RPM_MOST 500000
#define RPM_TOLERANCE_LEAST_PCT 0.001
#define RPM_TOLERANCE_MOST_PCT 50
#define SECONDS_MOST 1000000 /* eleven days */
#define CHANNEL_MOST 32      /* as many as a recording may have */
#define TACH_PULSES_LEAST 0.01
#define TACH_PULSES_MOST 10000
#define DISTANCE_LEAST_M 0.01
#define DISTANCE_MOST_M 10000
#define CALIBRATOR_LEAST_DB 40 /* calibrators (IEC 60942) give 94 or 114 dB, pistonphones 124 */
#define CALIBRATOR_MOST_DB 180
#define CALIBRATOR_LEAST_HZ 20
#define CALIBRATOR_MOST_HZ 20000
#define FULL_SCALE_LEAST_DB 20
#define FULL_SCALE_MOST_DB 220

#endif
