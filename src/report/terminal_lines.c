/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/terminal_lines.h"

#include "report/clean.h"

#include <stdlib.h>
#include <string.h>

void terminal_cell(struct text *out, const char *text, size_t columns, bool is_right)
{
    char *clean = clean_text(text, CLEAN_CELL_MAX);
    if (clean)
        clean_add_padded(out, clean, columns, is_right);
    else
        out->failed = true;
    text_add(out, "  ");
    free(clean);
}

void terminal_last(struct text *out, const char *text, size_t columns)
{
    terminal_cell(out, text, columns, false);
    while (out->length > 0 && !out->failed && out->data[out->length - 1] == ' ')
        out->data[--out->length] = '\0';
    text_add(out, "\n");
}

void terminal_heading(struct text *out, const char *const *names, const size_t *columns, size_t count)
{
    for (size_t i = 0; i + 1 < count; i++)
        terminal_cell(out, names[i], columns[i], i >= 2);
    terminal_last(out, names[count - 1], columns[count - 1]);
    size_t width = columns[count - 1];
    for (size_t i = 0; i + 1 < count; i++)
        width += columns[i] + 2;
    for (size_t i = 0; i < width; i++)
        text_add(out, "\xe2\x94\x80");
    text_add(out, "\n");
}

void terminal_wrapped(struct text *out, const char *text)
{
    char *clean = clean_text(text, CLEAN_PARAGRAPH_MAX);
    size_t column = 0;
    for (char *at = clean; at && *at;) {
        size_t length = strcspn(at, " ");
        char kept = at[length];
        at[length] = '\0';
        size_t columns = clean_columns(at);
        if (column > 0 && column + 1 + columns > 96) {
            text_add(out, "\n");
            column = 0;
        }
        if (column > 0)
            text_add(out, " ");
        text_add(out, at);
        column += columns + (column > 0);
        at[length] = kept;
        at += length;
        at += strspn(at, " ");
    }
    text_add(out, "\n");
    out->failed = out->failed || !clean;
    free(clean);
}
