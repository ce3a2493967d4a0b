/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_WORDS_H
#define THRUM_COMPARE_WORDS_H

/* Verdicts in words, from the numbers of a comparison and nothing else. */

#include "compare/compare.h"

#include <stddef.h>

/* "quieter by 4.1 dB (3.3 to 4.9), clearly audible"; "no clear difference (-0.4 to +1.1 dB)"; "quieter by at least 2.0
 * dB"; "not compared: ..."; for figures that are no level "lower by 1.20 sone (0.80 to 1.60)". Returns `buffer`. */
const char *words_of_comparison(const struct comparison *comparison, char *buffer, size_t size);

/* What a difference of levels is to a listener, by steps of 1, 3, 6 and 10 dB (common practice). */
const char *words_of_step(double difference_db);

#endif
