/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_WORDS_H
#define THRUM_COMPARE_WORDS_H

/* Verdicts in words, from the numbers of a comparison and nothing else. */

#include "compare/compare.h"

#include <stddef.h>

/* "quieter by 4.1 dB (3.3 to 4.9), clearly audible"; "no clear difference (−0.4 to +1.1 dB)"; "quieter by at least 2.0
 * dB"; "not compared: ..."; for figures that are no level "less loud by 1.2 sone (0.8 to 1.6)". Returns `buffer`. */
const char *words_of_comparison(const struct comparison *comparison, char *buffer, size_t size);

/* The same without its figures, which a table has in columns of their own: "quieter, clearly audible". */
const char *words_of_verdict(const struct comparison *comparison, char *buffer, size_t size);

/* What a difference of levels is to a listener, by steps of 1, 3, 6 and 10 dB (common practice). */
const char *words_of_step(double difference_db);

/* Numbers with a true minus sign: "−0.4"; signed also "+1.1". Both return `buffer`. */
const char *words_number(double value, int decimals, char *buffer, size_t size);
const char *words_signed(double value, int decimals, char *buffer, size_t size);

#endif
