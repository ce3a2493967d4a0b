/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_PAGE_H
#define THRUM_REPORT_PAGE_H

/* A4 pages one after another, each with its header line and its number of how many; a cursor runs down the page. */

#include "report/document.h"
#include "report/pen.h"

#include <stdbool.h>

#define PAGE_WIDTH_PT 595.276 /* ISO 216 A4, 210 mm x 297 mm */
#define PAGE_HEIGHT_PT 841.890
#define PAGE_LEFT_PT 48.0
#define PAGE_TOP_PT 62.0
#define PAGE_BOTTOM_PT 784.0

struct page {
    struct pen *pen;
    const char *title, *date;
    int number;
    int count;     /* of all pages; 0 in the pass that only counts them */
    double y;      /* of the cursor */
    bool is_drawn; /* false: lay out only */
};

void page_begin(struct page *page);
void page_end(struct page *page);

/* Goes to a new page unless `height` is left on this one. */
void page_need(struct page *page, double height);
double page_left(const struct page *page);
bool page_is_fresh(const struct page *page); /* nothing on it yet */

#endif
