/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_PDF_TABLE_H
#define THRUM_REPORT_PDF_TABLE_H

#include "report/page.h"

/* Sets a table at the cursor, over as many pages as it needs, its header on each. */
void pdf_table(struct page *page, const struct table *table);

/* Height of caption, header and the first rows: what should not be torn from a heading above. */
double pdf_table_start_height(struct page *page, const struct table *table);

#endif
