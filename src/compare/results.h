/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_RESULTS_H
#define THRUM_COMPARE_RESULTS_H

/* The whole truth of a campaign, which every writer of a report formats. */

#include "compare/compare.h"

struct results {
    const struct campaign *campaign;
    size_t reference;        /* variant index */
    bool is_absolute;        /* results_are_absolute */
    struct run_result *runs; /* in the log's order */
    size_t run_count;
    struct comparisons comparisons;
};

/* All usable runs are in dB re 20 uPa; where none is usable: all runs. */
bool results_are_absolute(const struct run_result *runs, size_t run_count);

#endif
