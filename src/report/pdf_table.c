/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/pdf_table.h"

#include <math.h>
#include <string.h>

#define CELL_PT 7.3
#define HEADER_PT 6.8
#define GAP_PT 9.0 /* between columns */
#define ROW_AIR_PT 3.2
#define SWATCH_PT 9.0

struct layout {
    double x[TABLE_COLUMNS_MAX], width[TABLE_COLUMNS_MAX], total;
    double header_height;
    double scale; /* of the letters, below 1 where a table would be wider than the page */
};

static struct lettering cell_letters(bool is_text, double scale)
{
    return (struct lettering){ CELL_PT * scale, false, false, style_ink, is_text ? ALIGN_LEFT : ALIGN_RIGHT };
}

static struct lettering header_letters(bool is_text, double scale)
{
    return (struct lettering){ HEADER_PT * scale, false, false, style_quiet, is_text ? ALIGN_LEFT : ALIGN_RIGHT };
}

/* The widest word of a header: below that it would be broken inside. */
static double widest_word(struct pen *pen, const char *header)
{
    struct lettering letters = header_letters(true, 1);
    double widest = 0;
    char word[120];
    size_t length = 0;
    for (const char *at = header;; at++) {
        if (*at && *at != ' ' && length < sizeof word - 1)
            word[length++] = *at;
        if (*at && *at != ' ' && *at != '-')
            continue;
        word[length] = '\0';
        widest = fmax(widest, pen_width(pen, word, &letters));
        length = 0;
        if (!*at)
            break;
    }
    return widest;
}

static double cell_width(struct pen *pen, const struct row *row, size_t column, bool is_text)
{
    struct lettering letters = cell_letters(is_text, 1);
    return pen_width(pen, row->cells[column].text, &letters) + (row->cells[column].look != LOOK_NONE ? SWATCH_PT : 0);
}

/* What the columns would like: the widest cell, no less than the widest word of the header, nor than what sets a
 * header on some two lines. */
static void measure(struct pen *pen, const struct table *table, struct layout *layout)
{
    for (size_t i = 0; i < table->column_count; i++) {
        struct lettering letters = header_letters(true, 1);
        double whole = pen_width(pen, table->columns[i].header, &letters);
        double width = fmax(widest_word(pen, table->columns[i].header), table->columns[i].is_text ? 0 : 0.6 * whole);
        for (size_t k = 0; k < table->row_count; k++)
            if (i < table->rows[k].count)
                width = fmax(width, cell_width(pen, &table->rows[k], i, table->columns[i].is_text));
        layout->width[i] = width + 1;
    }
}

static double sum_of(const struct layout *layout, size_t column_count)
{
    double sum = 0;
    for (size_t i = 0; i < column_count; i++)
        sum += layout->width[i];
    return sum;
}

#define NARROWEST_TEXT_PT 70.0

/* Width of all columns when no text column is wider than `most`. */
static double sum_below(const struct table *table, const struct layout *layout, double most)
{
    double sum = 0;
    for (size_t i = 0; i < table->column_count; i++)
        sum += table->columns[i].is_text ? fmin(layout->width[i], most) : layout->width[i];
    return sum;
}

/* The widest text columns give way first, to no less than 70 pt; then all letters get smaller. */
static void narrow(const struct table *table, double available, struct layout *layout)
{
    double low = NARROWEST_TEXT_PT, high = available;
    for (int round = 0; round < 30; round++) {
        double middle = (low + high) / 2;
        if (sum_below(table, layout, middle) <= available)
            low = middle;
        else
            high = middle;
    }
    for (size_t i = 0; i < table->column_count; i++)
        if (table->columns[i].is_text)
            layout->width[i] = fmin(layout->width[i], low);
    double sum = sum_of(layout, table->column_count);
    if (sum <= available + 0.01)
        return;
    layout->scale = available / sum * 0.995; /* letters do not scale to the last hundredth of a point */
    for (size_t i = 0; i < table->column_count; i++)
        layout->width[i] *= available / sum;
}

/* Headers on one line where there is room; else each gets its part of the room. */
static void widen(struct pen *pen, const struct table *table, double available, struct layout *layout)
{
    struct lettering letters = header_letters(true, 1);
    double room = available - sum_of(layout, table->column_count), wanted[TABLE_COLUMNS_MAX], sum = 0;
    for (size_t i = 0; i < table->column_count; i++) {
        double whole = pen_width(pen, table->columns[i].header, &letters) + 1;
        wanted[i] = fmax(whole - layout->width[i], 0);
        sum += wanted[i];
    }
    for (size_t i = 0; i < table->column_count && sum > 0; i++)
        layout->width[i] += wanted[i] * fmin(room / sum, 1);
}

static struct layout lay_out(struct page *page, const struct table *table)
{
    struct layout layout = { .scale = 1 };
    double available = DOCUMENT_WIDTH_PT - GAP_PT * (double)(table->column_count - 1);
    measure(page->pen, table, &layout);
    if (sum_of(&layout, table->column_count) > available)
        narrow(table, available, &layout);
    else
        widen(page->pen, table, available, &layout);
    for (size_t i = 0; i < table->column_count; i++) {
        struct lettering letters = header_letters(table->columns[i].is_text, layout.scale);
        layout.x[i] = i == 0 ? PAGE_LEFT_PT : layout.x[i - 1] + layout.width[i - 1] + GAP_PT;
        layout.header_height = fmax(layout.header_height, pen_paragraph(page->pen, 0, 0, layout.width[i],
                                                                        table->columns[i].header, &letters, false));
    }
    size_t last = table->column_count - 1;
    layout.total = layout.x[last] + layout.width[last] - PAGE_LEFT_PT;
    return layout;
}

static void set_header(struct page *page, const struct table *table, const struct layout *layout)
{
    for (size_t i = 0; page->is_drawn && i < table->column_count; i++) {
        struct lettering letters = header_letters(table->columns[i].is_text, layout->scale);
        double height = pen_paragraph(page->pen, 0, 0, layout->width[i], table->columns[i].header, &letters, false);
        pen_paragraph(page->pen, layout->x[i], page->y + layout->header_height - height, layout->width[i],
                      table->columns[i].header, &letters, true);
    }
    page->y += layout->header_height + 2.5;
    if (page->is_drawn)
        pen_line(page->pen, PAGE_LEFT_PT, page->y, PAGE_LEFT_PT + layout->total, page->y, style_accent, 0.8);
    page->y += 2;
}

static double row_height(struct page *page, const struct table *table, const struct layout *layout,
                         const struct row *row)
{
    double height = 0;
    for (size_t i = 0; i < row->count; i++) {
        struct lettering letters = cell_letters(table->columns[i].is_text, layout->scale);
        double indent = row->cells[i].look != LOOK_NONE ? SWATCH_PT : 0;
        height = fmax(height,
                      pen_paragraph(page->pen, 0, 0, layout->width[i] - indent, row->cells[i].text, &letters, false));
    }
    return height + ROW_AIR_PT;
}

static void draw_cell(struct page *page, const struct table *table, const struct layout *layout, size_t column,
                      const struct cell *cell)
{
    struct lettering letters = cell_letters(table->columns[column].is_text, layout->scale);
    double indent = cell->look != LOOK_NONE ? SWATCH_PT : 0;
    if (indent > 0) {
        struct look look = look_of(cell->look);
        pen_marker(page->pen, layout->x[column] + 3, page->y + ROW_AIR_PT / 2 + 5.2, 5, &look, false);
    }
    pen_paragraph(page->pen, layout->x[column] + indent, page->y + ROW_AIR_PT / 2, layout->width[column] - indent,
                  cell->text, &letters, true);
}

/* `name` stands in the first column. */
static void draw_row(struct page *page, const struct table *table, const struct layout *layout, const struct row *row,
                     const struct cell *name)
{
    if (row->begins_group)
        pen_line(page->pen, PAGE_LEFT_PT, page->y, PAGE_LEFT_PT + layout->total, page->y, style_grid, 0.6);
    for (size_t i = 0; i < row->count; i++)
        draw_cell(page, table, layout, i, i == 0 ? name : &row->cells[i]);
}

static double caption_height(struct page *page, const struct table *table, bool is_drawn)
{
    struct lettering letters = { 7.6, true, false, style_ink, ALIGN_LEFT };
    if (!table->caption[0])
        return 0;
    return pen_paragraph(page->pen, PAGE_LEFT_PT, page->y, DOCUMENT_WIDTH_PT, table->caption, &letters, is_drawn) + 4;
}

/* Up to this height a table is not broken over pages. */
#define KEPT_WHOLE_PT 150.0

double pdf_table_start_height(struct page *page, const struct table *table)
{
    struct layout layout = lay_out(page, table);
    double start = caption_height(page, table, false) + layout.header_height + 5, whole = start;
    for (size_t i = 0; i < table->row_count && whole <= KEPT_WHOLE_PT; i++)
        whole += row_height(page, table, &layout, &table->rows[i]);
    if (whole <= KEPT_WHOLE_PT)
        return whole;
    for (size_t i = 0; i < table->row_count && i < 3; i++)
        start += row_height(page, table, &layout, &table->rows[i]);
    return start;
}

/* What must be on this page from row `index` on: the row, and at the end of a table its last three together. */
static double height_to_keep(struct page *page, const struct table *table, const struct layout *layout, size_t index)
{
    double height = row_height(page, table, layout, &table->rows[index]);
    for (size_t i = index + 1; i < table->row_count && index + 3 == table->row_count; i++)
        height += row_height(page, table, layout, &table->rows[i]);
    return height;
}

void pdf_table(struct page *page, const struct table *table)
{
    struct layout layout = lay_out(page, table);
    page_need(page, pdf_table_start_height(page, table));
    page->y += caption_height(page, table, page->is_drawn);
    set_header(page, table, &layout);
    const struct cell *group = NULL; /* the last name in the first column, told again on a new page */
    for (size_t i = 0; i < table->row_count; i++) {
        const struct row *row = &table->rows[i];
        bool is_unnamed = row->count > 0 && !row->cells[0].text[0] && group, is_first = i == 0;
        if (page->y + height_to_keep(page, table, &layout, i) > PAGE_BOTTOM_PT && !page_is_fresh(page)) {
            page_end(page);
            page_begin(page);
            set_header(page, table, &layout);
            is_first = true;
        }
        group = is_unnamed ? group : &row->cells[0];
        if (page->is_drawn)
            draw_row(page, table, &layout, row, is_unnamed && is_first ? group : &row->cells[0]);
        page->y += row_height(page, table, &layout, row);
    }
    page->y += 10;
}
