/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* sched_getaffinity */
#include "base/pool.h"

#include "base/memory.h"

#include <pthread.h>
#include <sched.h>
#include <stdatomic.h>
#include <stdlib.h>

struct pool {
    atomic_size_t next;
    size_t count;
    void (*work)(void *context, size_t index);
    void *context;
};

static void *run(void *argument)
{
    struct pool *pool = argument;
    for (;;) {
        size_t index = atomic_fetch_add(&pool->next, 1);
        if (index >= pool->count)
            return NULL;
        pool->work(pool->context, index);
    }
}

void pool_run(unsigned job_count, size_t count, void (*work)(void *context, size_t index), void *context)
{
    struct pool pool = { .count = count, .work = work, .context = context };
    size_t helper_count = job_count > 1 ? job_count - 1 : 0;
    if (helper_count + 1 > count)
        helper_count = count ? count - 1 : 0;
    pthread_t *threads = helper_count > 0 ? memory_new(helper_count, sizeof *threads) : NULL;
    size_t started = 0;
    while (threads && started < helper_count && pthread_create(&threads[started], NULL, run, &pool) == 0)
        started++;
    run(&pool);
    for (size_t i = 0; i < started; i++)
        pthread_join(threads[i], NULL);
    free(threads);
}

unsigned pool_processor_count(void)
{
    cpu_set_t set;
    if (sched_getaffinity(0, sizeof set, &set) != 0)
        return 1;
    int count = CPU_COUNT(&set);
    return count > 0 ? (unsigned)count : 1;
}
