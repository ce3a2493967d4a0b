/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_RUN_OVERLAP_H
#define THRUM_CAMPAIGN_RUN_OVERLAP_H

/* The same sound twice in one log would count as two independent repeats. Rows may share a file when they differ in the
 * channel or in the part of time; parts that touch do not overlap. */

#include "campaign/campaign_read.h"
#include "campaign/csv_table.h"

#include <stddef.h>

/* Tells runs whose file and channel an earlier row uses at an overlapping time: at least one of those that overlap,
 * each with a row that it does overlap. Run i stands in row i + 1 of `table`; a run without a file was told already. */
void run_overlap_check(struct campaign_reader *reader, const struct csv_table *table, size_t file_column);

#endif
