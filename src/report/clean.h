/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_CLEAN_H
#define THRUM_REPORT_CLEAN_H

/* Text from outside, made fit to be shown: valid UTF-8, no control or direction-changing characters, not longer than a
 * report can hold (results.json keeps the whole). */

#include "base/text.h"

#include <stdarg.h>
#include <stddef.h>

#define CLEAN_CELL_MAX 300
#define CLEAN_TITLE_MAX 160
#define CLEAN_PARAGRAPH_MAX 1600

/* At most `most` characters, the last of them an ellipsis where it was cut; owned by the caller, NULL when memory is
 * out. NULL gives "". */
char *clean_text(const char *text, size_t most);

/* The same of a text by its format. */
char *clean_formatted(size_t most, const char *format, va_list args) PRINTF_LIKE(2, 0);

/* A no-break space between each number and the unit behind it; owned by the caller, NULL
 * when memory is out. */
char *clean_units_kept(const char *text);

/* The same into a buffer of at least 16, without allocation; cut with an ellipsis where it does not fit either. */
void clean_copy(char *out, size_t size, const char *text, size_t most);

/* Appends `text` with & < > " ' escaped for HTML text and quoted attributes. `text` is clean. */
void clean_add_html(struct text *out, const char *text);

/* Columns that a terminal needs for it: 0 for combining characters, 2 for wide ones. */
size_t clean_columns(const char *text);

/* Appends `text`, cut with an ellipsis or padded with spaces to `columns`, at the left or right. */
void clean_add_padded(struct text *out, const char *text, size_t columns, int is_right);

#endif
