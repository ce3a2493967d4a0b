/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_RESULT_FILES_H
#define THRUM_CLI_RESULT_FILES_H

/* The folder of `measure --output`: one file a run, named after its recording and row, so that folders of several
 * machines can be poured together. `report --from` reads it (run_list.h). */

#include "cli/options.h"
#include "cli/run_list.h"

#include <stdbool.h>

/* False where two recordings of no campaign would have their results in one file. */
bool result_files_are_apart(const struct operands *files, struct err *err) MUST_CHECK;

bool result_files_write(const struct run_list *runs, const char *folder, struct err *err) MUST_CHECK;

#endif
