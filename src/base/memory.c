/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/memory.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

void *memory_new(size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    return calloc(count ? count : 1, size ? size : 1);
}

char *memory_copy_text(const char *text)
{
    size_t size = strlen(text) + 1;
    char *copy = malloc(size);
    if (copy)
        memcpy(copy, text, size);
    return copy;
}

bool memory_grow(void **items, size_t *capacity, size_t needed, size_t size)
{
    if (needed <= *capacity)
        return true;
    size_t grown = *capacity ? *capacity : 8;
    while (grown < needed) {
        if (grown > SIZE_MAX / 2)
            return false;
        grown *= 2;
    }
    if (size != 0 && grown > SIZE_MAX / size)
        return false;
    void *moved = realloc(*items, grown * size);
    if (!moved)
        return false;
    memset((char *)moved + *capacity * size, 0, (grown - *capacity) * size);
    *items = moved;
    *capacity = grown;
    return true;
}
