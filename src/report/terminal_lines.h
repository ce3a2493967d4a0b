/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_TERMINAL_LINES_H
#define THRUM_REPORT_TERMINAL_LINES_H

/* Lines of text for a terminal, below 100 columns. Text from outside is made clean on its way (report/clean.h). */

#include "base/text.h"

#include <stddef.h>

/* A cell and two spaces, padded by the columns that its characters take, not by bytes. */
void terminal_cell(struct text *out, const char *text, size_t columns, bool is_right);

/* A row's last cell: no spaces behind it. */
void terminal_last(struct text *out, const char *text, size_t columns);

/* Names of columns, the first two of text, and a rule. */
void terminal_heading(struct text *out, const char *const *names, const size_t *columns, size_t count);

/* A paragraph broken at spaces. */
void terminal_wrapped(struct text *out, const char *text);

#endif
