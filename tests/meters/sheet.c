/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet.h"

#include "checks.h"

#include "base/num.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

static void add_number(struct sheet *sheet, double value)
{
    char buffer[40];
    text_add(&sheet->markdown, isinf(value) ? (value > 0 ? "∞" : "−∞") : num_format(buffer, sizeof buffer, value, 2));
}

void sheet_section(struct sheet *sheet, const char *title, const char *unit, const char *source)
{
    sheet->unit = unit;
    text_addf(&sheet->markdown, "\n## %s\n\n%s\n", title, source);
}

void sheet_note(struct sheet *sheet, const char *format, ...)
{
    char line[600];
    va_list args;
    va_start(args, format);
    vsnprintf(line, sizeof line, format, args);
    va_end(args);
    text_addf(&sheet->markdown, "\n%s\n", line);
}

/* The margin as the protocol's line tells it; both limits count. */
static double margin_of(double got, double goal, double below, double above)
{
    return fmin(above - (got - goal), below - (goal - got));
}

static void check(struct sheet *sheet, double got, double goal, double below, double above, const char *label)
{
    double margin = margin_of(got, goal, below, above);
    if (!(margin >= sheet->worst_margin))
        sheet->worst_margin = margin;
    check_within(got, goal, below, above, label);
}

static void add_worst(struct sheet *sheet)
{
    text_add(&sheet->markdown, "\nLeast margin: ");
    add_number(sheet, sheet->worst_margin);
    text_addf(&sheet->markdown, " %s.\n", sheet->unit);
}

void sheet_rows_begin(struct sheet *sheet)
{
    sheet->worst_margin = INFINITY;
    text_addf(&sheet->markdown, "\n| | goal, %s | got | allowed below | allowed above | margin |\n", sheet->unit);
    text_add(&sheet->markdown, "| --- | ---: | ---: | ---: | ---: | ---: |\n");
}

void sheet_row(struct sheet *sheet, double got, double goal, double below, double above, const char *format, ...)
{
    char label[300];
    va_list args;
    va_start(args, format);
    vsnprintf(label, sizeof label, format, args);
    va_end(args);
    check(sheet, got, goal, below, above, label);
    text_addf(&sheet->markdown, "| %s", label);
    const double numbers[] = { goal, got, below, above, margin_of(got, goal, below, above) };
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        text_add(&sheet->markdown, " | ");
        add_number(sheet, numbers[i]);
    }
    text_add(&sheet->markdown, " |\n");
}

void sheet_rows_end(struct sheet *sheet)
{
    add_worst(sheet);
}

void sheet_matrix_begin(struct sheet *sheet, const char *corner, const char *const *columns, size_t column_count)
{
    sheet->worst_margin = INFINITY;
    text_addf(&sheet->markdown, "\n| %s |", corner);
    for (size_t i = 0; i < column_count; i++)
        text_addf(&sheet->markdown, " %s |", columns[i]);
    text_add(&sheet->markdown, "\n| --- |");
    for (size_t i = 0; i < column_count; i++)
        text_add(&sheet->markdown, " ---: |");
    text_add(&sheet->markdown, "\n");
}

void sheet_matrix_row(struct sheet *sheet, const char *label)
{
    text_addf(&sheet->markdown, "| %s |", label);
}

void sheet_cell(struct sheet *sheet, double got, double goal, double below, double above, const char *format, ...)
{
    char label[300];
    va_list args;
    va_start(args, format);
    vsnprintf(label, sizeof label, format, args);
    va_end(args);
    check(sheet, got, goal, below, above, label);
    text_add(&sheet->markdown, " ");
    add_number(sheet, got - goal);
    text_add(&sheet->markdown, " |");
}

void sheet_cell_empty(struct sheet *sheet)
{
    text_add(&sheet->markdown, " |");
}

void sheet_matrix_row_end(struct sheet *sheet)
{
    text_add(&sheet->markdown, "\n");
}

void sheet_matrix_end(struct sheet *sheet)
{
    add_worst(sheet);
}
