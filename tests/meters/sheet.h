/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_METERS_SHEET_H
#define THRUM_TESTS_METERS_SHEET_H

/* A sheet of checks against a standard: each check is a line of the Test Anything Protocol and a row or cell of a table
 * in Markdown, so that docs/conformance.md holds what the tests test. Numbers there are rounded to 0.01 dB. */

#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

struct sheet {
    struct text markdown;
    const char *unit;    /* of the section's values, for tables */
    double worst_margin; /* of the current table */
};

/* A section with its heading, a line on where its numbers come from, and a unit. */
void sheet_section(struct sheet *sheet, const char *title, const char *unit, const char *source);
void sheet_note(struct sheet *sheet, const char *format, ...) PRINTF_LIKE(2, 3);

/* A table with one row a check. */
void sheet_rows_begin(struct sheet *sheet);
void sheet_row(struct sheet *sheet, double got, double goal, double below, double above, const char *format, ...)
    PRINTF_LIKE(6, 7);
void sheet_rows_end(struct sheet *sheet);

/* A table with a column for each rate (or whatever the columns are). A cell shows the deviation of `got` from `goal`.
 */
void sheet_matrix_begin(struct sheet *sheet, const char *corner, const char *const *columns, size_t column_count);
void sheet_matrix_row(struct sheet *sheet, const char *label);
void sheet_cell(struct sheet *sheet, double got, double goal, double below, double above, const char *format, ...)
    PRINTF_LIKE(6, 7);
void sheet_cell_empty(struct sheet *sheet);
void sheet_matrix_row_end(struct sheet *sheet);
void sheet_matrix_end(struct sheet *sheet);

#endif
