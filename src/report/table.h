/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_TABLE_H
#define THRUM_REPORT_TABLE_H

/* A table as the report shows it: columns whose headers hold the unit, rows of cells as text. Text from outside is made
 * valid UTF-8 without control characters on its way in (report/clean.h). Failure to get memory is sticky. */

#include "base/err.h"
#include "report/style.h"

#include <stdbool.h>
#include <stddef.h>

#define TABLE_COLUMNS_MAX 16

struct cell {
    char *text;
    size_t look; /* a swatch of the variant's colour before it; LOOK_NONE */
};

struct row {
    struct cell cells[TABLE_COLUMNS_MAX];
    size_t count;
    bool begins_group; /* a rule above */
};

struct column {
    char header[120]; /* with its unit: "LAeq, dB re 20 µPa" */
    bool is_text;     /* left aligned, may be broken into lines; else a number, right aligned */
};

struct table {
    char *caption;
    struct column columns[TABLE_COLUMNS_MAX];
    size_t column_count;
    struct row *rows;
    size_t row_count, row_capacity;
    bool failed;
};

struct table *table_new(const char *caption); /* NULL when memory is out; all below take NULL and do nothing */
void table_free(struct table *table);
void table_column(struct table *table, const char *header, bool is_text);
void table_row(struct table *table, bool begins_group);
void table_cell(struct table *table, const char *format, ...) PRINTF_LIKE(2, 3);
void table_look(struct table *table, size_t look);     /* of the last cell */
void table_fail(struct table *table, bool has_failed); /* a cell's text could not be made */

#endif
