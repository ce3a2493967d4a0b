/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_WHY_WHERE_H
#define THRUM_REPORT_WHY_WHERE_H

/* Where in the spectrum a part of a difference of A-levels lies: noise by third octaves, tones by their names. The
 * tones are those of the runs that stand for the two rotors (view_run). */

#include "report/view.h"

enum why_part_kind { WHY_BLADE_TONES, WHY_OTHER_TONES, WHY_BROADBAND };

/* The third octave in which noise differs most, A-weighted, in the direction of the difference. A band of which tones
 * hold half or more in one of the two runs is passed over, as is one whose level is only a bound: its noise is not
 * known. ABSENT when none is left. */
double why_noise_band(const struct view *view, double at, size_t variant, double difference_db);

/* The tone of the louder rotor that is strongest by its A-weighted level, of the blades or of anything else, with the
 * rotor's index in `rotor`. NULL when it has none. */
const struct tone *why_tone(const struct view *view, double at, size_t variant, double difference_db,
                            enum why_part_kind kind, size_t *rotor);

/* The strongest tone of the louder rotor in a third octave, when tones hold half of the band or more there; else NULL.
 */
const struct tone *why_tone_in_band(const struct view *view, double at, size_t variant, double difference_db,
                                    double band_hz, size_t *rotor);

#endif
