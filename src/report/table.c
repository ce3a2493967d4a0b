/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/table.h"

#include "base/memory.h"
#include "base/text.h"
#include "report/clean.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct table *table_new(const char *caption)
{
    struct table *table = memory_new(1, sizeof *table);
    if (table)
        table->failed = !(table->caption = clean_text(caption, CLEAN_PARAGRAPH_MAX));
    return table;
}

void table_free(struct table *table)
{
    if (!table)
        return;
    for (size_t i = 0; i < table->row_count; i++)
        for (size_t k = 0; k < table->rows[i].count; k++)
            free(table->rows[i].cells[k].text);
    free(table->rows);
    free(table->caption);
    free(table);
}

void table_column(struct table *table, const char *header, bool is_text)
{
    if (!table || table->column_count == TABLE_COLUMNS_MAX)
        return;
    struct column *column = &table->columns[table->column_count++];
    clean_copy(column->header, sizeof column->header, header, sizeof column->header);
    column->is_text = is_text;
}

void table_row(struct table *table, bool begins_group)
{
    if (!table || table->failed)
        return;
    void *rows = table->rows;
    if (!memory_grow(&rows, &table->row_capacity, table->row_count + 1, sizeof *table->rows)) {
        table->failed = true;
        return;
    }
    table->rows = rows;
    table->rows[table->row_count] = (struct row){ .begins_group = begins_group && table->row_count > 0 };
    table->row_count++;
}

void table_cell(struct table *table, const char *format, ...)
{
    if (!table || table->failed || table->row_count == 0)
        return;
    struct row *row = &table->rows[table->row_count - 1];
    if (row->count == table->column_count)
        return;
    va_list args;
    va_start(args, format);
    char *text = clean_formatted(CLEAN_CELL_MAX, format, args);
    va_end(args);
    if (!text) {
        table->failed = true;
        return;
    }
    row->cells[row->count++] = (struct cell){ text, LOOK_NONE };
}

void table_look(struct table *table, size_t look)
{
    if (!table || table->row_count == 0 || table->rows[table->row_count - 1].count == 0)
        return;
    struct row *row = &table->rows[table->row_count - 1];
    row->cells[row->count - 1].look = look;
}

void table_fail(struct table *table, bool has_failed)
{
    if (table)
        table->failed = table->failed || has_failed;
}
