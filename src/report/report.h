/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_REPORT_H
#define THRUM_REPORT_REPORT_H

/* Five writers of the same struct. What is shown is what is in the struct; whole files or none: all are composed in
 * memory before the first is written. cairo and pango are used on the calling thread only. */

#include "base/err.h"
#include "base/text.h"
#include "compare/results.h"

#include <stdbool.h>
#include <stddef.h>

struct report_formats {
    bool pdf, html, json, csv;
};

/* Writes report.pdf, report.html, results.json and tables/ *.csv under `folder`, which is made if it is missing. The
 * paths written are added to `paths`, one a line. */
bool report_write(const struct results *results, const struct report_formats *formats, const char *folder,
                  struct text *paths, struct err *err) MUST_CHECK;

/* The text of results.json, with a line end behind it. */
bool report_json(const struct results *results, struct text *out, struct err *err) MUST_CHECK;

/* The short table for the terminal. */
void report_terminal(const struct results *results, struct text *out);

/* One or more runs without a campaign (thrum measure): a table of figures and tones. */
void report_terminal_runs(const struct run_result *runs, size_t run_count, struct text *out);

#endif
