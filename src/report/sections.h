/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_SECTIONS_H
#define THRUM_REPORT_SECTIONS_H

/* The parts of the report, one file each. Each adds its blocks to the document, or nothing where its data are absent
 * (a sentence says why where a reader would look for it). Figures come from the results as they are; what
 * is computed here are means over repeats, and differences of runs that stand for a point. */

#include "base/text.h"
#include "report/document.h"
#include "report/show.h"
#include "report/view.h"

/* "Of 24 runs 22 are good, 1 is doubtful (used, and marked) and 1 is unusable (left out of comparisons)." */
void runs_verdicts_tell(const struct view *view, struct text *out);

void section_summary(const struct view *view, struct document *document);
void section_what_if(const struct view *view, struct document *document);
void section_bands(const struct view *view, struct document *document);
void section_spectra(const struct view *view, struct document *document);
void section_tones(const struct view *view, struct document *document);
void section_hearing(const struct view *view, struct document *document);
void section_differences(const struct view *view, struct document *document);
void section_findings(const struct view *view, struct document *document);
void section_method(const struct view *view, struct document *document);
void section_cautions(const struct view *view, struct document *document);
void section_appendix(const struct view *view, struct document *document);

/* Title, date and all sections. */
bool document_make(const struct results *results, struct document *out, struct err *err) MUST_CHECK;

/* Which source of each rotor to work on first, an item a rotor, in section_what_if.c. */
void what_ifs_tell(const struct view *view, struct document *document);

/* Level against operating point, fits with their bands and the runs. `quantity` as in the curves. A picture without a
 * curve is empty. In curve_chart.c. */
struct chart *curve_chart(const struct view *view, const char *quantity);

/* The trace of one run as a line; one with a name is in the legend and has markers. Steps that hold no line are left
 * out, so that the line runs on to the next that does. In section_spectra.c. */
void spectrum_add(struct chart *chart, const struct run_result *run, size_t look, const char *name);

/* How fast the level rises with the operating point, in appendix_differences.c. */
void slopes_add(const struct view *view, struct document *document);

/* LAeq at the reference distance, of the run as it stands. */
double run_level_db(const struct run_result *run);
struct shown show_run_level(const struct run_result *run); /* "63.0", "≤ 63.0" where it is an upper bound */

#endif
