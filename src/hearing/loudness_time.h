/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_LOUDNESS_TIME_H
#define THRUM_HEARING_LOUDNESS_TIME_H

/* Loudness against time to the method of ISO 532-1:2017, clause 6, from the sound itself, and with it the stationary
 * loudness (clause 5) of the mean band powers, the sharpness (DIN 45692) of its specific loudness and the fluctuation
 * strength (fluctuation.h; ABSENT below 2.3 s of used part). A meter: see meters/meter.h. Needs an absolute gain and a
 * rate of 32.1 kHz or more: else its figures stay ABSENT.
 *
 * Band powers and core loudness are had every 0.5 ms, their sum over bark every 1 ms, and loudness counts every 2 ms;
 * the specific loudness is that of the mean core loudness over 8 ms. The first 0.3 s of what is fed (preroll included)
 * settle the filters and are in no figure, unless a quarter of the used part is less. */

#include "meters/meter.h"

extern const struct meter_kind loudness_meter;

#endif
