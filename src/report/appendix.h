/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_APPENDIX_H
#define THRUM_REPORT_APPENDIX_H

/* What the sections have beyond the middle point, and their tables run by run: behind everything else. */

#include "report/document.h"
#include "report/view.h"

void appendix_bands(const struct view *view, struct document *document);
void appendix_spectra(const struct view *view, struct document *document);
void appendix_tones(const struct view *view, struct document *document);
void appendix_hearing(const struct view *view, struct document *document);
void appendix_differences(const struct view *view, struct document *document);
void appendix_runs(const struct view *view, struct document *document);

/* Takes over the table; in place of one longer than a page (60 rows) a sentence says that `elsewhere` has it. */
void appendix_table(struct document *document, struct table *table, const char *elsewhere);

#endif
