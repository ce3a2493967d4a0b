/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_SHEET_H
#define THRUM_REPORT_SHEET_H

/* A cairo surface whose bytes go into a text, and the pen that draws on it. */

#include "base/err.h"
#include "base/text.h"
#include "report/pen.h"

/* The stream of such a surface; its closure is the struct text. Always says yes, for cairo 1.16 reads through a null
 * pointer when it finishes a surface whose stream once failed; the text remembers that it failed. */
cairo_status_t sheet_take_bytes(void *text, const unsigned char *data, unsigned length);

void sheet_begin(cairo_surface_t *surface, struct pen *pen);

/* Finishes and frees surface and pen. `what` is named in errors: "the PDF". */
bool sheet_end(cairo_surface_t *surface, struct pen *pen, const struct text *text, const char *what,
               struct err *err) MUST_CHECK;

#endif
