/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/pdf_table.h"

#include <math.h>

#define CELL_PT 7.3
#define HEADER_PT 6.8
#define GAP_PT 9.0 /* between columns */
#define ROW_AIR_PT 3.2
#define SWATCH_PT 9.0

struct layout {
    double x[TABLE_COLUMNS_MAX], width[TABLE_COLUMNS_MAX], total;
    double header_height;
};

static struct lettering cell_letters(const struct row *row, bool is_text)
{
    return (struct lettering){ CELL_PT, row && row->is_strong, false, style_ink, is_text ? ALIGN_LEFT : ALIGN_RIGHT };
}

static struct lettering header_letters(bool is_text)
{
    return (struct lettering){ HEADER_PT, false, false, style_quiet, is_text ? ALIGN_LEFT : ALIGN_RIGHT };
}

/* The widest word of a header: below that it would be broken inside. */
static double widest_word(struct pen *pen, const char *header)
{
    struct lettering letters = header_letters(true);
    double widest = 0;
    char word[80];
    size_t length = 0;
    for (const char *at = header;; at++) {
        if (*at && *at != ' ') {
            if (length < sizeof word - 1)
                word[length++] = *at;
            continue;
        }
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
    struct lettering letters = cell_letters(row, is_text);
    return pen_width(pen, row->cells[column].text, &letters) + (row->cells[column].look != LOOK_NONE ? SWATCH_PT : 0);
}

/* Natural widths; where these are too wide together, text columns give way to no less than `least`. */
static struct layout lay_out(struct page *page, const struct table *table)
{
    struct layout layout = { .header_height = 0 };
    double least[TABLE_COLUMNS_MAX], sum = 0, spare = 0, header[TABLE_COLUMNS_MAX];
    double available = DOCUMENT_WIDTH_PT - GAP_PT * (double)(table->column_count - 1);
    for (size_t i = 0; i < table->column_count; i++) {
        struct lettering letters = header_letters(true);
        double natural = widest_word(page->pen, table->columns[i].header);
        header[i] = pen_width(page->pen, table->columns[i].header, &letters) + 1;
        for (size_t k = 0; k < table->row_count; k++)
            if (i < table->rows[k].count)
                natural = fmax(natural, cell_width(page->pen, &table->rows[k], i, table->columns[i].is_text));
        layout.width[i] = natural + 1;
        least[i] = table->columns[i].is_text ? fmin(layout.width[i], 70) : layout.width[i];
        sum += layout.width[i];
        spare += layout.width[i] - least[i];
    }
    if (sum > available && spare > 0) {
        double part = fmin((sum - available) / spare, 1);
        for (size_t i = 0; i < table->column_count; i++)
            layout.width[i] -= (layout.width[i] - least[i]) * part;
    } else if (sum < available) { /* headers on one line where there is room */
        for (size_t i = 0; i < table->column_count; i++) {
            double more = fmin(fmax(header[i] - layout.width[i], 0), available - sum);
            layout.width[i] += more;
            sum += more;
        }
    }
    for (size_t i = 0; i < table->column_count; i++) {
        layout.x[i] = i == 0 ? PAGE_LEFT_PT : layout.x[i - 1] + layout.width[i - 1] + GAP_PT;
        struct lettering letters = header_letters(table->columns[i].is_text);
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
        struct lettering letters = header_letters(table->columns[i].is_text);
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
        struct lettering letters = cell_letters(row, table->columns[i].is_text);
        double indent = row->cells[i].look != LOOK_NONE ? SWATCH_PT : 0;
        height = fmax(height,
                      pen_paragraph(page->pen, 0, 0, layout->width[i] - indent, row->cells[i].text, &letters, false));
    }
    return height + ROW_AIR_PT;
}

static void draw_row(struct page *page, const struct table *table, const struct layout *layout, const struct row *row)
{
    if (row->begins_group)
        pen_line(page->pen, PAGE_LEFT_PT, page->y, PAGE_LEFT_PT + layout->total, page->y, style_grid, 0.6);
    for (size_t i = 0; i < row->count; i++) {
        struct lettering letters = cell_letters(row, table->columns[i].is_text);
        double indent = row->cells[i].look != LOOK_NONE ? SWATCH_PT : 0;
        if (indent > 0) {
            struct look look = look_of(row->cells[i].look);
            pen_marker(page->pen, layout->x[i] + 3, page->y + ROW_AIR_PT / 2 + 5.2, 5, &look, false);
        }
        pen_paragraph(page->pen, layout->x[i] + indent, page->y + ROW_AIR_PT / 2, layout->width[i] - indent,
                      row->cells[i].text, &letters, true);
    }
}

static double caption_height(struct page *page, const struct table *table, bool is_drawn)
{
    struct lettering letters = { 7.6, true, false, style_ink, ALIGN_LEFT };
    if (!table->caption[0])
        return 0;
    return pen_paragraph(page->pen, PAGE_LEFT_PT, page->y, DOCUMENT_WIDTH_PT, table->caption, &letters, is_drawn) + 4;
}

double pdf_table_start_height(struct page *page, const struct table *table)
{
    struct layout layout = lay_out(page, table);
    double height = caption_height(page, table, false) + layout.header_height + 5;
    for (size_t i = 0; i < table->row_count && i < 3; i++)
        height += row_height(page, table, &layout, &table->rows[i]);
    return height;
}

void pdf_table(struct page *page, const struct table *table)
{
    struct layout layout = lay_out(page, table);
    page_need(page, pdf_table_start_height(page, table));
    page->y += caption_height(page, table, page->is_drawn);
    set_header(page, table, &layout);
    for (size_t i = 0; i < table->row_count; i++) {
        double height = row_height(page, table, &layout, &table->rows[i]);
        if (page->y + height > PAGE_BOTTOM_PT && !page_is_fresh(page)) {
            page_end(page);
            page_begin(page);
            set_header(page, table, &layout);
        }
        if (page->is_drawn)
            draw_row(page, table, &layout, &table->rows[i]);
        page->y += height;
    }
    page->y += 10;
}
