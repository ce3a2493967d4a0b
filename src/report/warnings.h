/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_WARNINGS_H
#define THRUM_REPORT_WARNINGS_H

/* What of all the remarks on machines and comparisons must not wait for its section: a sign that a rotor may come
 * apart, a sign of wear, a doubt about the answer. Remarks are sentences; each kind is known by a phrase of its own
 * (tests/report/check_phrases.py holds the phrases against the rooms that make the sentences). */

#include "report/document.h"
#include "report/view.h"

/* At most four framed lines, danger first, each with the rotors that it is about and the section that has the rest.
 * A sign of wear is told only of rotors of which a third of the usable runs or more say so. */
void warnings_add(const struct view *view, struct document *document);

/* Whether a remark on the comparisons is among what is warned of. */
bool warnings_hold(const char *remark);

#endif
