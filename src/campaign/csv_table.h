/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_CSV_TABLE_H
#define THRUM_CAMPAIGN_CSV_TABLE_H

/* A CSV text (RFC 4180, comma or semicolon) as rows of fields that know their places. Rows without any text, as
 * spreadsheets leave them at the end, are left out; spaces around unquoted fields too. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

struct csv_field {
    size_t offset; /* of its text in `texts` */
    int line, column;
};

struct csv_row {
    size_t first, field_count;
    int line;
};

struct csv_table {
    char separator;
    char *texts; /* of all fields, each terminated */
    struct csv_field *fields;
    struct csv_row *rows;
    size_t field_count, row_count;
};

/* Reads a whole text. False with the first mistake in `err` (the rest of a broken CSV has no certain place). */
bool csv_table_read(const char *text, size_t size, const char *file, struct csv_table *out, struct err *err) MUST_CHECK;
void csv_table_clear(struct csv_table *table);

/* The text of a field, "" where the row is shorter; `where` (or NULL) gets its line and column, of the row's start
 * where there is no such field. */
const char *csv_table_text(const struct csv_table *table, size_t row, size_t column, struct place *where);

#endif
