/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_TEXT_CHECK_H
#define THRUM_CAMPAIGN_TEXT_CHECK_H

/* What every text of a campaign must be before it is read: UTF-8 (RFC 3629) without control characters, and how a piece
 * of it is shown in a message. Lines end with LF, CR LF or CR; columns count characters, from 1. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* True when all of the text is UTF-8, and its only control characters are tab, CR and LF; else the first place where it
 * is not, in `err`. A byte-order mark at the start is fine. */
bool text_check(const char *text, size_t size, const char *file, struct err *err) MUST_CHECK;

/* The bytes of a UTF-8 byte-order mark at the start: 3 or 0. */
size_t text_mark_size(const char *text, size_t size);

/* Characters (not bytes) of a UTF-8 text. */
size_t text_character_count(const char *text);

/* A text as shown in a message: 63 bytes of it, whole characters, no control characters, '?' for what is not UTF-8. */
struct excerpt {
    char text[64];
};

struct excerpt excerpt(const char *text);

/* A number as shown in a message: up to `digits` significant ones, with a point in every locale. */
struct excerpt excerpt_number(double value, int digits);

#endif
