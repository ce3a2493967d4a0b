/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/file_hint.h"

#include "base/memory.h"
#include "base/nearest.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#define NAMES_MAX 2000

struct names {
    char **items;
    size_t count, capacity;
};

static bool add(struct names *names, const char *name)
{
    void *items = names->items;
    if (!memory_grow(&items, &names->capacity, names->count + 1, sizeof *names->items))
        return false;
    names->items = items;
    names->items[names->count] = memory_copy_text(name);
    if (!names->items[names->count])
        return false;
    names->count++;
    return true;
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* In the order of the alphabet, so that the hint does not depend on the order in a file system. */
static bool list(const char *folder, struct names *names)
{
    DIR *stream = opendir(folder);
    if (!stream)
        return true; /* no folder, no hint */
    bool ok = true;
    const struct dirent *entry;
    while (ok && names->count < NAMES_MAX && (entry = readdir(stream)))
        ok = entry->d_name[0] == '.' || add(names, entry->d_name);
    closedir(stream);
    if (names->count > 0)
        qsort(names->items, names->count, sizeof *names->items, compare_names);
    return ok;
}

static bool find_nearest(const struct names *names, const char *name, char **hint)
{
    const char **items = memory_new(names->count, sizeof *items);
    if (!items)
        return false;
    for (size_t i = 0; i < names->count; i++)
        items[i] = names->items[i];
    const char *near = nearest_name(name, items, names->count);
    if (near)
        *hint = memory_copy_text(near);
    free(items);
    return !near || *hint;
}

bool file_hint(const char *path, char **hint)
{
    struct names names = { 0 };
    *hint = NULL;
    char *folder = memory_copy_text(path);
    char *slash = folder ? strrchr(folder, '/') : NULL;
    if (!slash) {
        bool ok = folder != NULL;
        free(folder);
        return ok;
    }
    *slash = '\0';
    bool ok = list(folder, &names) && find_nearest(&names, slash + 1, hint);
    for (size_t i = 0; i < names.count; i++)
        free(names.items[i]);
    free(names.items);
    free(folder);
    return ok;
}
