/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables of random cells, written by the rules of RFC 4180 section 2 (quotes around a cell that holds a separator, a
 * quote or a line end; quotes inside doubled), read back: every cell and its place must be what was written. The
 * generator is a fixed linear congruential one (Knuth's MMIX constants), so that a failure can be made again. */
#include "tap.h"

#include "base/text.h"
#include "campaign/csv_table.h"

#include <stdint.h>

#define TABLES 2000
#define CELLS_MAX 60

struct cell {
    char text[64];
    int line, column;
};

struct written {
    struct text csv;
    struct cell cells[CELLS_MAX];
    size_t row_count, column_count;
    int line, column; /* of the next character */
};

static unsigned draw(uint64_t *state, unsigned below)
{
    *state = *state * 6364136223846793005U + 1442695040888963407U;
    return (unsigned)(*state >> 33) % below;
}

static void put(struct written *out, const char *piece)
{
    text_add(&out->csv, piece);
    for (const char *at = piece; *at; at++) {
        bool is_line_end = *at == '\n' || (*at == '\r' && at[1] != '\n');
        out->line += is_line_end;
        out->column = is_line_end ? 1 : out->column + (((unsigned char)*at & 0xC0) != 0x80);
    }
}

static void make_cell(uint64_t *state, char text[64], bool is_first)
{
    static const char *const pieces[] = { "a",  "7",  ".",    "wav", " ",        ",",           ";",
                                          "\"", "\n", "\r\n", "\t",  "\xC3\xBC", "\xE2\x82\xAC" };
    size_t used =
        (size_t)snprintf(text, 64, "%s", is_first ? "x" : ""); /* no row without text: such rows are left out */
    for (unsigned count = draw(state, 7); count > 0; count--)
        used += (size_t)snprintf(text + used, 64 - used, "%s", pieces[draw(state, sizeof pieces / sizeof *pieces)]);
}

static void put_cell(struct written *out, uint64_t *state, const char *text)
{
    size_t length = strlen(text);
    bool needs_quotes =
        strpbrk(text, ",;\"\r\n") || (length > 0 && (strchr(" \t", text[0]) || strchr(" \t", text[length - 1])));
    if (!needs_quotes && draw(state, 4) > 0) {
        put(out, text);
        return;
    }
    put(out, "\"");
    for (const char *at = text; *at;) {
        char piece[3] = { at[0] == '"' ? '"' : at[0], at[0] == '"' ? '"' : '\0', '\0' };
        if (at[0] == '\r' && at[1] == '\n')
            piece[1] = *++at;
        put(out, piece);
        at++;
    }
    put(out, "\"");
}

static void make_table(struct written *out, uint64_t *state)
{
    static const char *const line_ends[] = { "\n", "\r\n", "\r" };
    const char *separator = draw(state, 2) ? "," : ";", *line_end = line_ends[draw(state, 3)];
    *out = (struct written){
        .line = 1, .column = 1, .row_count = 1 + draw(state, 6), .column_count = 1 + draw(state, 10)
    };
    if (draw(state, 2))
        text_add(&out->csv, "\xEF\xBB\xBF");
    for (size_t i = 0; i < out->row_count * out->column_count; i++) {
        struct cell *cell = &out->cells[i];
        bool is_first = i % out->column_count == 0;
        while (is_first && draw(state, 5) == 0)
            put(out, line_end);
        if (!is_first)
            put(out, separator);
        make_cell(state, cell->text, is_first);
        cell->line = out->line;
        cell->column = out->column;
        put_cell(out, state, cell->text);
        if ((i + 1) % out->column_count == 0 && (i + 1 < out->row_count * out->column_count || draw(state, 2)))
            put(out, line_end);
    }
}

/* The first cell that is not as written, or the count of all. */
static size_t find_difference(const struct written *wanted, const struct csv_table *got)
{
    size_t count = wanted->row_count * wanted->column_count;
    if (got->row_count != wanted->row_count)
        return 0;
    for (size_t i = 0; i < count; i++) {
        struct place where = { 0 };
        const struct cell *cell = &wanted->cells[i];
        size_t row = i / wanted->column_count, column = i % wanted->column_count;
        const char *text = csv_table_text(got, row, column, &where);
        if (got->rows[row].field_count != wanted->column_count || strcmp(text, cell->text) != 0 ||
            where.line != cell->line || where.column != cell->column)
            return i;
    }
    return count;
}

int main(void)
{
    static struct written written;
    uint64_t state = 20261003;
    size_t cell_count = 0;
    for (int i = 0; i < TABLES; i++) {
        struct csv_table table;
        struct err err = { 0 };
        make_table(&written, &state);
        size_t count = written.row_count * written.column_count;
        bool ok = csv_table_read(written.csv.data, written.csv.length, "t.csv", &table, &err);
        size_t difference = ok ? find_difference(&written, &table) : 0;
        if (!ok || difference != count)
            tap_ok(false, "table %d: cell %zu at %d:%d; %s", i, difference, written.cells[difference].line,
                   written.cells[difference].column, err.text);
        cell_count += count;
        if (ok)
            csv_table_clear(&table);
        text_clear(&written.csv);
    }
    tap_ok(tap_failed == 0 && cell_count > TABLES, "%zu cells of %d tables come back, each at its place", cell_count,
           TABLES);
    return tap_done();
}
