/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_FAILING_MEMORY_H
#define THRUM_TESTS_FAILING_MEMORY_H

/* For tests in which every allocation fails once. The test is linked with --wrap for calloc, malloc and realloc, so
 * that the program's own calls come here (those inside shared libraries don't). Each failure must come back as an
 * error, leak nothing (seen under the address sanitizer and valgrind) and crash nowhere. Included once by a test
 * program. */

#include <stdbool.h>
#include <stddef.h>

void *__wrap_calloc(size_t count, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_realloc(void *block, size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_malloc(size_t size);
void *__real_realloc(void *block, size_t size);

/* Allocations that succeed before one fails; below 0: all succeed. */
static long allocations_left = -1;

static bool allocation_fails(void)
{
    return allocations_left >= 0 && allocations_left-- == 0;
}

void *__wrap_calloc(size_t count, size_t size)
{
    return allocation_fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_malloc(size_t size)
{
    return allocation_fails() ? NULL : __real_malloc(size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return allocation_fails() ? NULL : __real_realloc(block, size);
}

#endif
