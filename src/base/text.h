/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_TEXT_H
#define THRUM_BASE_TEXT_H

/* A growing text. Failure is sticky: after memory ran out, adding does nothing and `failed` stays set, so that a writer
 * checks once at its end. `data` is always terminated unless NULL (nothing added yet). Starts as `{0}`. */

#include "base/err.h"

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
void text_clear(struct text *text);

#endif
