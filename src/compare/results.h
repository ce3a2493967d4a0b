/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_RESULTS_H
#define THRUM_COMPARE_RESULTS_H

/* The whole truth of a campaign, which every writer of a report formats. Borrows the campaign; owns the rest. */

#include "compare/compare.h"

struct results {
    const struct campaign *campaign;
    size_t reference;        /* variant index */
    bool is_absolute;        /* all usable runs are dB re 20 uPa */
    struct run_result *runs; /* in the log's order */
    size_t run_count;
    struct comparisons comparisons;
};

void results_clear(struct results *results);

#endif
