/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_DOCUMENT_H
#define THRUM_REPORT_DOCUMENT_H

/* The report as a row of blocks, made once from the results and then set on pages (pdf.h) or in HTML (html.h). Failure
 * to get memory is sticky. */

#include "report/chart.h"
#include "report/stack.h"
#include "report/table.h"

#include <stdbool.h>
#include <stddef.h>

enum block_kind {
    BLOCK_SECTION, /* in the contents, has an id */
    BLOCK_HEADING,
    BLOCK_LEAD, /* the answer: larger */
    BLOCK_TEXT,
    BLOCK_QUIET, /* explanations: smaller */
    BLOCK_ITEM,
    BLOCK_WARNING, /* framed */
    BLOCK_TABLE,
    BLOCK_FIGURE,
};

struct figure { /* one of both; owned */
    struct chart *chart;
    struct stack *stack;
    double height_pt;
};

struct block {
    enum block_kind kind;
    char *text; /* caption of a figure */
    char id[32];
    struct table *table;
    struct figure figure;
};

struct document {
    char *title, *subtitle, *date; /* date: "" when not given */
    struct block *items;
    size_t count, capacity;
    bool failed;
};

void document_clear(struct document *document);
void document_section(struct document *document, const char *id, const char *title);
void document_add(struct document *document, enum block_kind kind, const char *format, ...) PRINTF_LIKE(3, 4);

/* Both take over what they are given, also on failure; a table without rows and an empty chart are left out. */
void document_table(struct document *document, struct table *table);
void document_chart(struct document *document, struct chart *chart, double height_pt, const char *caption);
void document_stack(struct document *document, struct stack *stack, const char *caption);

#define DOCUMENT_WIDTH_PT 499.0 /* of the text on an A4 page, and of every figure */
struct pen;
void figure_draw(struct pen *pen, const struct figure *figure, double width, double height);

#endif
