/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_PDF_H
#define THRUM_REPORT_PDF_H

/* A document on A4 pages as PDF. The same document gives the same bytes: no time of writing goes in, the date in the
 * file is the campaign's. One thread. */

#include "base/err.h"
#include "base/text.h"
#include "report/document.h"

bool pdf_compose(const struct document *document, struct text *out, struct err *err) MUST_CHECK;

#endif
