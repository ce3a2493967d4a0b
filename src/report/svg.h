/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_SVG_H
#define THRUM_REPORT_SVG_H

/* A figure as an SVG element to stand inside HTML. */

#include "base/err.h"
#include "base/text.h"
#include "report/document.h"

/* Appends <svg role="img">…</svg> whose ids all start with `prefix`, so that several figures can share a page, and are
 * numbered from 1, so that the bytes are the same whatever was drawn before in this process. `label` is read to those
 * who can't see it. */
bool svg_add_figure(const struct figure *figure, const char *prefix, const char *label, struct text *out,
                    struct err *err) MUST_CHECK;

/* The same for SVG as cairo writes it: drops the XML declaration, renames ids and what refers to them. */
bool svg_add_renamed(const char *svg, const char *prefix, const char *label, struct text *out,
                     struct err *err) MUST_CHECK;

#endif
