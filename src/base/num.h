/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_NUM_H
#define THRUM_BASE_NUM_H

/* Numbers from and to text, the same in every locale. */

#include <stdbool.h>
#include <stddef.h>

/* A plain decimal number and nothing else: optional sign, digits with at most one point, optional exponent. No spaces,
 * no hexadecimal, no "nan" or "inf", no comma, no value that overflows. False leaves `out` untouched. */
bool num_parse(const char *text, double *out);

/* `value` with `decimals` digits behind the point, "." whatever the locale, never "-0.0". An absent value gives an en
 * dash, silence (-INFINITY) an en dash too: reports say why beside it. Returns `buffer`. */
const char *num_format(char *buffer, size_t size, double value, int decimals);

/* The same for sentences: with a true minus (U+2212), and in the second a plus before what is above 0 when rounded. */
const char *num_words(char *buffer, size_t size, double value, int decimals);
const char *num_words_signed(char *buffer, size_t size, double value, int decimals);

/* `value` rounded to `decimals` digits, half away from zero in decimal, as num_format would print it. */
double num_round(double value, int decimals);

#endif
