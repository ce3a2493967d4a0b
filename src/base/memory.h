/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_MEMORY_H
#define THRUM_BASE_MEMORY_H

/* Allocation with checked sizes. NULL on failure or overflow; the caller reports it with err_memory. */

#include <stdbool.h>
#include <stddef.h>

/* `count` zeroed items of `size` bytes; never NULL for a count of 0 unless memory is out. */
void *memory_new(size_t count, size_t size);
char *memory_copy_text(const char *text);

/* Makes room for `needed` items in *items of *capacity, growing by doubling. False leaves all untouched. */
bool memory_grow(void **items, size_t *capacity, size_t needed, size_t size);

#endif
