/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_PROGRESS_H
#define THRUM_CLI_PROGRESS_H

/* The progress line on standard error: files done, current file, time left. Only on a terminal. */

#include <stdbool.h>
#include <stddef.h>
#include <time.h>

struct progress {
    bool is_shown;
    struct timespec start;
};

void progress_start(struct progress *progress, bool is_quiet);

/* For measure_progress.done; `context` is the struct progress. */
void progress_done(void *context, size_t done_count, size_t count, const char *file);

/* Takes the line away. */
void progress_end(const struct progress *progress);

#endif
