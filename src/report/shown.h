/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_SHOWN_H
#define THRUM_REPORT_SHOWN_H

/* Which rotors the pictures and the sections' tables show where a campaign has more than can be told apart: six, as
 * many as there are looks (style.h). The summary's table has all of them. */

#include "report/document.h"
#include "report/view.h"

/* The reference, the quietest at the middle point, and the loudest there; where these are fewer than six, others with
 * runs in the campaign's order. Part of view_make. */
void shown_choose(struct view *view);

/* All rotors in the campaign's order; where not all are shown, by their difference at the middle point, quietest first,
 * those without one at the end. `order` has room for as many as there are. */
void shown_order(const struct view *view, size_t *order);

/* Which rotors are shown and why; in a section, that the others are in `elsewhere`. Nothing where all are shown. */
void shown_tell(const struct view *view, struct document *document);
void shown_refer(const struct view *view, struct document *document, const char *elsewhere);

#endif
