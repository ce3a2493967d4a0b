/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/progress.h"

#include "campaign/text_check.h"

#include <stdio.h>
#include <unistd.h>

void progress_start(struct progress *progress, bool is_quiet)
{
    progress->is_shown = !is_quiet && isatty(STDERR_FILENO);
    clock_gettime(CLOCK_MONOTONIC, &progress->start);
}

void progress_done(void *context, size_t done_count, size_t count, const char *file)
{
    const struct progress *progress = context;
    if (!progress->is_shown)
        return;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    double passed_s =
        (double)(now.tv_sec - progress->start.tv_sec) + (double)(now.tv_nsec - progress->start.tv_nsec) * 1e-9;
    double left_s = passed_s * (double)(count - done_count) / (double)done_count;
    fprintf(stderr, "\r\033[K%zu of %zu recordings, %.0f s left, %s", done_count, count, left_s, excerpt(file).text);
    fflush(stderr);
}

void progress_end(const struct progress *progress)
{
    if (progress->is_shown)
        fputs("\r\033[K", stderr);
}
