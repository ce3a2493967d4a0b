/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_CSV_H
#define THRUM_REPORT_CSV_H

/* Tables for spreadsheets and scripts: RFC 4180, UTF-8, commas, CRLF, a header line whose names hold the units; numbers
 * as in results.json, empty where absent. Text is as it was given. */

#include "base/text.h"
#include "compare/results.h"

/* A field, quoted where it must be; `*at_start` tells whether a comma comes before. */
void csv_text(struct text *out, const char *text, bool *at_start);
void csv_number(struct text *out, double value, int decimals, bool *at_start);
void csv_end(struct text *out, bool *at_start);

void csv_levels(const struct results *results, struct text *out);
void csv_third_octave(const struct results *results, struct text *out);
void csv_tones(const struct results *results, struct text *out);
void csv_blade_passage(const struct results *results, struct text *out);
void csv_comparisons(const struct results *results, struct text *out);
void csv_what_ifs(const struct results *results, struct text *out);

#endif
