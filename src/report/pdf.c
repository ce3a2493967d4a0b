/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/pdf.h"

#include "report/page.h"
#include "report/pdf_table.h"
#include "report/sheet.h"

#include <cairo-pdf.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const struct lettering section_letters = { 15, true, false, { 0.04, 0.38, 0.42 }, ALIGN_LEFT };

static struct lettering letters_of(enum block_kind kind)
{
    struct lettering letters = { 8.6, false, false, style_ink, ALIGN_LEFT };
    if (kind == BLOCK_HEADING)
        letters = (struct lettering){ 10, true, false, style_ink, ALIGN_LEFT };
    if (kind == BLOCK_LEAD)
        letters.size_pt = 11;
    if (kind == BLOCK_QUIET || kind == BLOCK_FIGURE)
        letters = (struct lettering){ 7.4, false, false, style_quiet, ALIGN_LEFT };
    return letters;
}

static double paragraph_height(struct page *page, const struct block *block, double indent)
{
    struct lettering letters = letters_of(block->kind);
    return pen_paragraph(page->pen, 0, 0, DOCUMENT_WIDTH_PT - indent, block->text, &letters, false);
}

/* A chart may be drawn this much lower than it would like where it then still fits on the page. */
#define LOWEST_CHART 0.78
#define LOWEST_WITH_REST 0.5 /* where then all of its section fits on the page */

static double least_figure_height(const struct figure *figure)
{
    return figure->chart ? LOWEST_CHART * figure->height_pt : figure->height_pt;
}

/* What a block needs at least on the page where it starts. */
static double start_height(struct page *page, const struct block *block)
{
    switch (block->kind) {
    case BLOCK_SECTION:
        return 40;
    case BLOCK_HEADING:
        return 24;
    case BLOCK_TABLE:
        return pdf_table_start_height(page, block->table);
    case BLOCK_FIGURE:
        return least_figure_height(&block->figure) + paragraph_height(page, block, 0) + 12;
    case BLOCK_LEAD:
    case BLOCK_TEXT:
    case BLOCK_QUIET:
    case BLOCK_ITEM:
    case BLOCK_WARNING:
        return paragraph_height(page, block, 12) + 8;
    }
    return 0;
}

static bool is_heading(enum block_kind kind)
{
    return kind == BLOCK_SECTION || kind == BLOCK_HEADING;
}

/* A heading stays with what follows it: the heights of all headings up to the first other block, and of that behind it
 * too where it is but a paragraph. */
static double height_with_next(struct page *page, const struct document *document, size_t index)
{
    double height = 0;
    for (size_t i = index; i < document->count; i++) {
        enum block_kind kind = document->items[i].kind;
        height += start_height(page, &document->items[i]);
        bool is_explained = (kind == BLOCK_QUIET || kind == BLOCK_TEXT) && is_heading(document->items[i - 1].kind);
        if (!is_heading(kind) && !is_explained)
            break;
    }
    return height;
}

/* A section of nothing but text, as high as it is; HUGE_VAL for others. */
static double text_section_height(struct page *page, const struct document *document, size_t index)
{
    double height = start_height(page, &document->items[index]);
    for (size_t i = index + 1; i < document->count && document->items[i].kind != BLOCK_SECTION; i++) {
        if (document->items[i].kind == BLOCK_TABLE || document->items[i].kind == BLOCK_FIGURE)
            return HUGE_VAL;
        height += start_height(page, &document->items[i]) + 2;
    }
    return height;
}

/* A section starts a page of its own unless a quarter of the last one is left, or all of the section fits in. */
static void set_section(struct page *page, const struct document *document, size_t index, cairo_surface_t *surface)
{
    const struct block *block = &document->items[index];
    double quarter = (PAGE_BOTTOM_PT - PAGE_TOP_PT) / 4;
    page_need(page, page_is_fresh(page) ? 0 : fmin(quarter, text_section_height(page, document, index)));
    page->y += page_is_fresh(page) ? 2 : 12;
    if (page->is_drawn) {
        char place[64];
        snprintf(place, sizeof place, "page=%d", page->number);
        cairo_pdf_surface_add_outline(surface, CAIRO_PDF_OUTLINE_ROOT, block->text, place, 0);
        pen_text(page->pen, PAGE_LEFT_PT, page->y + 12, block->text, &section_letters);
    }
    page->y += 26;
}

static double gap_below(enum block_kind kind, enum block_kind next_kind)
{
    if (kind == BLOCK_ITEM)
        return next_kind == BLOCK_ITEM ? 3 : 9;
    if (kind == BLOCK_WARNING && next_kind == BLOCK_WARNING)
        return 5;
    return kind == BLOCK_HEADING ? 4 : 8;
}

static void set_paragraph(struct page *page, const struct block *block, enum block_kind next_kind)
{
    struct lettering letters = letters_of(block->kind);
    double indent = block->kind == BLOCK_ITEM ? 10 : block->kind == BLOCK_WARNING ? 9 : 0;
    double height = paragraph_height(page, block, indent);
    page_need(page, height);
    page->y += block->kind == BLOCK_HEADING && !page_is_fresh(page) ? 6 : 0;
    if (page->is_drawn && block->kind == BLOCK_ITEM)
        pen_fill(page->pen, PAGE_LEFT_PT + 1, page->y + 5, 3, 3, style_accent, 1);
    if (page->is_drawn && block->kind == BLOCK_WARNING)
        pen_fill(page->pen, PAGE_LEFT_PT, page->y, 2.2, height, style_accent, 1);
    pen_paragraph(page->pen, PAGE_LEFT_PT + indent, page->y, DOCUMENT_WIDTH_PT - indent, block->text, &letters,
                  page->is_drawn);
    page->y += height + gap_below(block->kind, next_kind);
}

static void set_figure(struct page *page, const struct block *block, double height)
{
    if (page->is_drawn) {
        cairo_save(page->pen->cairo);
        cairo_translate(page->pen->cairo, PAGE_LEFT_PT, page->y);
        figure_draw(page->pen, &block->figure, DOCUMENT_WIDTH_PT, height);
        cairo_restore(page->pen->cairo);
    }
    page->y += height + 3;
    struct lettering letters = letters_of(BLOCK_FIGURE);
    page->y +=
        pen_paragraph(page->pen, PAGE_LEFT_PT, page->y, DOCUMENT_WIDTH_PT, block->text, &letters, page->is_drawn);
    page->y += 11;
}

/* All but sections and figures. */
static void set_simple(struct page *page, const struct document *document, size_t index)
{
    const struct block *block = &document->items[index];
    if (block->kind == BLOCK_TABLE)
        pdf_table(page, block->table);
    else
        set_paragraph(page, block, index + 1 < document->count ? document->items[index + 1].kind : BLOCK_SECTION);
}

/* What is left of this page below the last block of the section when its figure `index` is `height` high; below 0
 * where they do not all fit, or another figure is among them. */
static double room_behind(const struct page *page, const struct document *document, size_t index, double height)
{
    struct page trial = *page;
    trial.is_drawn = false;
    set_figure(&trial, &document->items[index], height);
    for (size_t i = index + 1; i < document->count && document->items[i].kind != BLOCK_SECTION; i++) {
        if (document->items[i].kind == BLOCK_FIGURE)
            return -1;
        set_simple(&trial, document, i);
    }
    return trial.number == page->number ? fmax(page_left(&trial), 0) : -1;
}

/* As high as it would like, or lower to stay on the page, or with all that follows it. */
static void fit_figure(struct page *page, const struct document *document, size_t index)
{
    const struct block *block = &document->items[index];
    double caption = paragraph_height(page, block, 0), whole = block->figure.height_pt;
    page_need(page, least_figure_height(&block->figure) + caption + 8);
    double height = fmin(whole, page_left(page) - caption - 8), lowest = LOWEST_WITH_REST * whole;
    if (block->figure.chart && room_behind(page, document, index, height) < 0) {
        double room = room_behind(page, document, index, lowest);
        height = room < 0 ? height : fmin(lowest + room, height);
    }
    set_figure(page, block, height);
}

static void set_title(struct page *page, const struct document *document)
{
    struct lettering title = { 20, true, false, style_ink, ALIGN_LEFT };
    struct lettering subtitle = { 8.6, false, false, style_quiet, ALIGN_LEFT };
    if (page->is_drawn)
        pen_fill(page->pen, PAGE_LEFT_PT, page->y, 42, 3, style_accent, 1);
    page->y += 9;
    page->y +=
        pen_paragraph(page->pen, PAGE_LEFT_PT, page->y, DOCUMENT_WIDTH_PT, document->title, &title, page->is_drawn);
    page->y += 3;
    page->y += pen_paragraph(page->pen, PAGE_LEFT_PT, page->y, DOCUMENT_WIDTH_PT, document->subtitle, &subtitle,
                             page->is_drawn);
    page->y += 12;
}

static int set_pages(const struct document *document, struct pen *pen, cairo_surface_t *surface, int page_count)
{
    struct page page = { .pen = pen, .title = document->title, .date = document->date, .count = page_count };
    page.is_drawn = page_count > 0;
    page_begin(&page);
    set_title(&page, document);
    for (size_t i = 0; i < document->count; i++) {
        const struct block *block = &document->items[i];
        if (is_heading(block->kind))
            page_need(&page, height_with_next(&page, document, i));
        if (block->kind == BLOCK_SECTION)
            set_section(&page, document, i, surface);
        else if (block->kind == BLOCK_FIGURE)
            fit_figure(&page, document, i);
        else
            set_simple(&page, document, i);
    }
    page_end(&page);
    return page.number;
}

static void set_metadata(cairo_surface_t *surface, const struct document *document)
{
    /* Cairo would put the time of writing in; the campaign's date, or a fixed one, keeps the bytes the same. */
    char created[32] = "2000-01-01T00:00:00Z";
    if (strlen(document->date) == 10)
        snprintf(created, sizeof created, "%sT00:00:00Z", document->date);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, document->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, "Rotor noise report");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, created);
}

bool pdf_compose(const struct document *document, struct text *out, struct err *err)
{
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(sheet_take_bytes, out, PAGE_WIDTH_PT, PAGE_HEIGHT_PT);
    struct pen pen;
    set_metadata(surface, document);
    sheet_begin(surface, &pen);
    int page_count = set_pages(document, &pen, surface, 0);
    set_pages(document, &pen, surface, page_count);
    return sheet_end(surface, &pen, out, "the PDF", err);
}
