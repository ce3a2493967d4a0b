/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/csv_table.h"

#include "base/memory.h"
#include "base/text.h"
#include "campaign/text_check.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

/* libcsv is fed a byte at a time, so that the place of a field is where the byte after the last field's end stood. */
struct reader {
    struct csv_parser parser;
    struct csv_table table;
    size_t field_capacity, row_capacity;
    struct text texts;
    struct place field_start;
    /* Of the row being read; a row of nothing but spaces so far may be one that libcsv passes over. */
    bool row_begun, row_is_blank, row_has_text;
    size_t row_first;
    bool ended_field; /* by the last byte */
    bool out_of_memory;
};

static void end_field(void *bytes, size_t size, void *data)
{
    struct reader *reader = data;
    void *fields = reader->table.fields;
    size_t count = reader->table.field_count;
    if (!memory_grow(&fields, &reader->field_capacity, count + 1, sizeof *reader->table.fields)) {
        reader->out_of_memory = true;
        return;
    }
    reader->table.fields = fields;
    reader->table.fields[count] = (struct csv_field){ .offset = reader->texts.length,
                                                      .line = reader->field_start.line,
                                                      .column = reader->field_start.column };
    reader->table.field_count++;
    reader->row_has_text = reader->row_has_text || size > 0;
    if (size > 0)
        text_add_bytes(&reader->texts, bytes, size);
    text_add_bytes(&reader->texts, "", 1);
    reader->ended_field = true;
}

static void end_row(int terminator, void *data)
{
    (void)terminator;
    struct reader *reader = data;
    reader->row_begun = false;
    if (!reader->row_has_text) {
        reader->table.field_count = reader->row_first;
        return;
    }
    void *rows = reader->table.rows;
    size_t count = reader->table.row_count;
    if (!memory_grow(&rows, &reader->row_capacity, count + 1, sizeof *reader->table.rows)) {
        reader->out_of_memory = true;
        return;
    }
    reader->table.rows = rows;
    reader->table.rows[count] = (struct csv_row){ .first = reader->row_first,
                                                  .field_count = reader->table.field_count - reader->row_first,
                                                  .line = reader->table.fields[reader->row_first].line };
    reader->table.row_count++;
    reader->row_first = reader->table.field_count;
    reader->row_has_text = false;
}

/* The separator that stands more often in the first line with text, outside quotes. */
static char find_separator(const char *text, size_t size)
{
    size_t commas = 0, semicolons = 0, i = 0;
    bool quoted = false;
    while (i < size && strchr(" \t\r\n", text[i]))
        i++;
    for (; i < size && (quoted || (text[i] != '\n' && text[i] != '\r')); i++) {
        quoted = quoted != (text[i] == '"');
        commas += !quoted && text[i] == ',';
        semicolons += !quoted && text[i] == ';';
    }
    return semicolons > commas ? ';' : ',';
}

static bool csv_fault(struct reader *reader, struct err *err)
{
    int reason = csv_error(&reader->parser);
    if (reader->out_of_memory || reader->texts.failed || reason == CSV_ENOMEM || reason == CSV_ETOOBIG)
        return err_memory(err);
    return err_at(err, ERR_SYNTAX, &reader->field_start,
                  "a stray or unclosed quote in this field; put the whole field in quotes and double those inside");
}

/* Feeds the byte at `place`. */
static bool feed(struct reader *reader, char byte, const struct place *place)
{
    bool is_line_end = byte == '\n' || byte == '\r';
    if (!reader->row_begun && !is_line_end) {
        reader->row_begun = reader->row_is_blank = true;
        reader->field_start = *place;
    }
    if (reader->ended_field) {
        reader->ended_field = false;
        reader->field_start = *place;
    }
    reader->row_is_blank = reader->row_is_blank && (is_line_end || byte == ' ' || byte == '\t');
    if (csv_parse(&reader->parser, &byte, 1, end_field, end_row, reader) != 1)
        return false;
    if (is_line_end && reader->row_is_blank)
        reader->row_begun = false;
    return !reader->out_of_memory && !reader->texts.failed;
}

static bool feed_all(struct reader *reader, const char *text, size_t size, const char *file)
{
    struct place place = { .file = file, .line = 1, .column = 1 };
    reader->field_start = place;
    for (size_t i = 0; i < size; i++) {
        if (!feed(reader, text[i], &place))
            return false;
        if (text[i] == '\n' || (text[i] == '\r' && !(i + 1 < size && text[i + 1] == '\n'))) {
            place.line++;
            place.column = 1;
        } else {
            place.column += ((unsigned char)text[i] & 0xC0) != 0x80;
        }
    }
    if (reader->ended_field)
        reader->field_start = place;
    return csv_fini(&reader->parser, end_field, end_row, reader) == 0 && !reader->out_of_memory &&
           !reader->texts.failed;
}

static bool begins_with(const char *text, size_t size, const char *start)
{
    return size >= strlen(start) && memcmp(text, start, strlen(start)) == 0;
}

/* What spreadsheet programs write that is no CSV: a workbook (a zip file, or of the older kind), and a line that tells
 * such programs the separator. */
static bool check_start(const char *text, size_t size, const char *file, struct err *err)
{
    const struct place start = { file, 1, 1 };
    if (begins_with(text, size, "PK\x03\x04") || begins_with(text, size, "\xD0\xCF\x11\xE0"))
        return err_at(err, ERR_SYNTAX, &start, "a workbook of a spreadsheet program, no text; save it as CSV");
    if (begins_with(text, size, "sep="))
        return err_at(err, ERR_SYNTAX, &start, "a line that names the separator; take it out, the header comes first");
    return true;
}

bool csv_table_read(const char *text, size_t size, const char *file, struct csv_table *out, struct err *err)
{
    struct reader reader = { .texts = { 0 } };
    size_t mark = text_mark_size(text, size);
    if (!check_start(text + mark, size - mark, file, err) || !text_check(text, size, file, err))
        return false;
    if (csv_init(&reader.parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return err_memory(err);
    reader.table.separator = find_separator(text + mark, size - mark);
    csv_set_delim(&reader.parser, (unsigned char)reader.table.separator);
    text_add_bytes(&reader.texts, "", 0);
    bool ok = feed_all(&reader, text + mark, size - mark, file) || csv_fault(&reader, err);
    csv_free(&reader.parser);
    reader.table.texts = reader.texts.data;
    if (!ok) {
        csv_table_clear(&reader.table);
        return false;
    }
    *out = reader.table;
    return true;
}

void csv_table_clear(struct csv_table *table)
{
    free(table->texts);
    free(table->fields);
    free(table->rows);
    *table = (struct csv_table){ 0 };
}

const char *csv_table_text(const struct csv_table *table, size_t row, size_t column, struct place *where)
{
    const struct csv_row *at = &table->rows[row];
    if (column >= at->field_count) {
        if (where) {
            where->line = at->line;
            where->column = 1;
        }
        return "";
    }
    const struct csv_field *field = &table->fields[at->first + column];
    if (where) {
        where->line = field->line;
        where->column = field->column;
    }
    return table->texts + field->offset;
}
