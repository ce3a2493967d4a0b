/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_POOL_H
#define THRUM_BASE_POOL_H

/* A pool of threads for work items that do not depend on each other: item i writes to slot i, so the outcome does not
 * depend on the number of threads. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* Calls work(context, i) for every i below `count`, each once, on up to `job_count` threads (at least 1; the caller's
 * thread is one of them), and returns when all are done. Errors of the work are kept in its slots, not here. If
 * no further thread can be started the work is done on those that could be. */
void pool_run(unsigned job_count, size_t count, void (*work)(void *context, size_t index), void *context);

/* The processors this process may use, at least 1. */
unsigned pool_processor_count(void);

#endif
