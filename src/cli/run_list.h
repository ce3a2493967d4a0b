/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_RUN_LIST_H
#define THRUM_CLI_RUN_LIST_H

/* A list of run results and its JSON: what `measure --json` writes and `report --from` reads. */

#include "base/text.h"
#include "measure/campaign_measure.h"

#include <stdbool.h>
#include <stddef.h>

struct run_list {
    struct run_result *items;
    size_t count;
};

bool run_list_new(struct run_list *list, size_t count, struct err *err) MUST_CHECK; /* initialised results */
void run_list_clear(struct run_list *list);

/* {"thrum": …, "runs": […]} */
bool run_list_write(const struct run_result *runs, size_t count, struct text *out, struct err *err) MUST_CHECK;

/* The result of every run of the campaign from the *.json files of a folder, in the log's order. A run without a
 * result, with two, or measured by other settings than those of the campaign and the plan, is a mistake; results of
 * other runs are passed over. Thrust, power, throttle and notes are the log's, whatever they were when it was measured.
 */
bool run_list_read_folder(const char *folder, const struct campaign *campaign, const struct measure_plan *plan,
                          struct run_list *out, struct err_list *errors) MUST_CHECK;

#endif
