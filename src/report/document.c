/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/document.h"

#include "base/memory.h"
#include "report/chart_draw.h"
#include "report/clean.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void document_clear(struct document *document)
{
    for (size_t i = 0; i < document->count; i++) {
        free(document->items[i].text);
        table_free(document->items[i].table);
        chart_free(document->items[i].figure.chart);
        stack_free(document->items[i].figure.stack);
    }
    free(document->items);
    free(document->title);
    free(document->subtitle);
    free(document->date);
    *document = (struct document){ 0 };
}

static struct block *add(struct document *document, enum block_kind kind, const char *text)
{
    if (document->failed)
        return NULL;
    void *items = document->items;
    document->failed = !memory_grow(&items, &document->capacity, document->count + 1, sizeof *document->items);
    if (document->failed)
        return NULL;
    document->items = items;
    char *valid = clean_text(text, CLEAN_PARAGRAPH_MAX), *clean = valid ? clean_units_kept(valid) : NULL;
    free(valid);
    document->failed = !clean;
    if (!clean)
        return NULL;
    struct block *block = &document->items[document->count++];
    *block = (struct block){ .kind = kind, .text = clean };
    return block;
}

void document_section(struct document *document, const char *id, const char *title)
{
    struct block *block = add(document, BLOCK_SECTION, title);
    if (block)
        snprintf(block->id, sizeof block->id, "%s", id);
}

void document_add(struct document *document, enum block_kind kind, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    char *text = clean_formatted(CLEAN_PARAGRAPH_MAX, format, args);
    va_end(args);
    if (text)
        add(document, kind, text);
    else
        document->failed = true;
    free(text);
}

void document_table(struct document *document, struct table *table)
{
    if (!table || table->failed)
        document->failed = true;
    struct block *block = table && table->row_count > 0 ? add(document, BLOCK_TABLE, "") : NULL;
    if (block)
        block->table = table;
    else
        table_free(table);
}

/* Room for what many variants need beyond one row of legend and three rows of marks, about three names a row. */
static double extra_height(const struct chart *chart)
{
    size_t named_count = 0, rows = 0;
    for (size_t i = 0; i < chart->series_count; i++)
        named_count += chart->series[i].name[0] != '\0';
    named_count += chart->shade_count > 0;
    rows += named_count > 3 ? (named_count - 1) / 3 : 0;
    rows += chart->comb_count > 3 ? chart->comb_count - 3 : 0;
    return 12.0 * (double)(rows > 20 ? 20 : rows);
}

void document_chart(struct document *document, struct chart *chart, double height_pt, const char *caption)
{
    if (!chart || chart->failed)
        document->failed = true;
    struct block *block = chart && !chart_is_empty(chart) ? add(document, BLOCK_FIGURE, caption) : NULL;
    if (block)
        block->figure = (struct figure){ .chart = chart, .height_pt = height_pt + extra_height(chart) };
    else
        chart_free(chart);
}

void document_stack(struct document *document, struct stack *stack, const char *caption)
{
    if (!stack || stack->failed)
        document->failed = true;
    struct block *block = stack && stack->row_count > 0 ? add(document, BLOCK_FIGURE, caption) : NULL;
    if (block)
        block->figure = (struct figure){ .stack = stack, .height_pt = stack_height(stack) };
    else
        stack_free(stack);
}

void figure_draw(struct pen *pen, const struct figure *figure, double width, double height)
{
    if (figure->chart)
        chart_draw(pen, figure->chart, width, height);
    if (figure->stack)
        stack_draw(pen, figure->stack, width, height);
}
