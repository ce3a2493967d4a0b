/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_HTML_H
#define THRUM_REPORT_HTML_H

/* A document as one HTML page that needs nothing beside it: styles and figures (SVG) inside, no script, no network. */

#include "base/err.h"
#include "base/text.h"
#include "report/document.h"

bool html_compose(const struct document *document, struct text *out, struct err *err) MUST_CHECK;

#endif
