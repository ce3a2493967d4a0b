/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_METERS_MASK_H
#define THRUM_TESTS_METERS_MASK_H

/* Class 1 limits of relative attenuation, IEC 61260-1:2014, table 1 (from memory), mapped to 1/b octave by 5.10 and
 * drawn straight over lg of the frequency between its points. */

#include <stddef.h>

#define MASK_POINT_COUNT 17

/* Frequency of point `index` (0 to 16, 8 is mid-band) over the mid-frequency. */
double mask_point_ratio(int per_octave, size_t index);

/* What is left to the nearer limit at a frequency of `ratio` times the mid-frequency. */
double mask_margin_db(int per_octave, double ratio, double attenuation_db);

/* The smaller; NaN when one of them is (fmin would drop it, and a level that is absent must not pass). */
double mask_least(double one, double other);

#endif
