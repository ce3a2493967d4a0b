/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page.h"

#include <stdio.h>

static const struct lettering frame_letters = { 7, false, false, { 0.36, 0.39, 0.42 }, ALIGN_LEFT };

static void draw_frame(struct page *page)
{
    struct lettering right = frame_letters;
    right.align = ALIGN_RIGHT;
    double edge = PAGE_LEFT_PT + DOCUMENT_WIDTH_PT;
    char number[32];
    snprintf(number, sizeof number, "%d of %d", page->number, page->count);
    if (page->number > 1) {
        pen_text_cut(page->pen, PAGE_LEFT_PT, 40, 380, page->title, &frame_letters);
        pen_text(page->pen, edge, 40, "Rotor noise report", &right);
        pen_line(page->pen, PAGE_LEFT_PT, 45, edge, 45, style_grid, 0.6);
    }
    pen_text(page->pen, edge, 813, number, &right);
    pen_text(page->pen, PAGE_LEFT_PT, 813, page->date, &frame_letters);
}

void page_begin(struct page *page)
{
    page->number++;
    page->y = page->number == 1 ? PAGE_TOP_PT - 14 : PAGE_TOP_PT;
    if (page->is_drawn)
        draw_frame(page);
}

void page_end(struct page *page)
{
    if (page->is_drawn)
        cairo_show_page(page->pen->cairo);
}

void page_need(struct page *page, double height)
{
    if (page->y + height <= PAGE_BOTTOM_PT || page_is_fresh(page))
        return;
    page_end(page);
    page_begin(page);
}

double page_left(const struct page *page)
{
    return PAGE_BOTTOM_PT - page->y;
}

bool page_is_fresh(const struct page *page)
{
    return page->y <= PAGE_TOP_PT;
}
