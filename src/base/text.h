/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_TEXT_H
#define THRUM_BASE_TEXT_H

/* A growing text. Failure is sticky: after memory ran out, adding does nothing and `failed` stays set, so that a writer
 * checks once at its end. `data` is always terminated unless NULL (nothing added yet). Starts as `{0}`.
 *
 * Texts of bounded size are cut at whole UTF-8 characters (RFC 3629), with "…" at the end where something was cut. */

#include "base/err.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

struct text {
    char *data;
    size_t length, capacity;
    bool failed;
};

void text_add(struct text *text, const char *string);
void text_add_bytes(struct text *text, const void *bytes, size_t count);
void text_addf(struct text *text, const char *format, ...) PRINTF_LIKE(2, 3);
void text_add_args(struct text *text, const char *format, va_list args) PRINTF_LIKE(2, 0);
void text_clear(struct text *text);

/* Writes into `buffer` of `size` bytes, 4 at least, what fits of it. */
void text_fit(char *buffer, size_t size, const char *format, ...) PRINTF_LIKE(3, 4);
void text_fit_args(char *buffer, size_t size, const char *format, va_list args) PRINTF_LIKE(3, 0);

/* A name within a sentence of bounded size: 80 bytes of it. */
struct short_text {
    char text[81];
};

struct short_text text_short(const char *string);

#endif
