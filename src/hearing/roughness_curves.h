/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_ROUGHNESS_CURVES_H
#define THRUM_HEARING_ROUGHNESS_CURVES_H

/* Curves of the roughness model of Daniel and Weber 1997 (Acustica 83, 113-123) and of Zwicker's ear that it uses,
 * linear between the points read from the figures (from memory). Bark rates from 0 to 24; channels 1 to 47 are half a
 * bark apart. */

/* Threshold in quiet over bark, dB. */
double roughness_threshold_db(double bark);
/* Gain of the outer and middle ear over bark, dB. */
double roughness_ear_db(double bark);
/* Weight of a channel by its carrier, g(z). */
double roughness_carrier_weight(double bark);
/* Weight of a modulation rate within a channel, H. */
double roughness_modulation_weight(int channel, double modulation_hz);

#endif
