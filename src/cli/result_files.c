/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/result_files.h"

#include "base/files.h"
#include "base/memory.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* Owned by the caller; NULL when memory is out. Row 0: of no campaign. */
static char *name_of(const char *file, int row)
{
    struct text name = { 0 };
    for (const char *at = file; *at; at++)
        text_add_bytes(&name, *at == '/' ? "_" : at, 1);
    if (row > 0)
        text_addf(&name, ".row%d", row);
    text_add(&name, ".json");
    if (name.failed)
        text_clear(&name);
    return name.data;
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

bool result_files_are_apart(const struct operands *files, struct err *err)
{
    size_t count = (size_t)files->count;
    char **names = memory_new(count, sizeof *names);
    bool ok = names || err_memory(err);
    for (size_t i = 0; ok && i < count; i++)
        ok = (names[i] = name_of(files->items[i], 0)) || err_memory(err);
    if (ok)
        qsort(names, count, sizeof *names, compare_names);
    for (size_t i = 1; ok && i < count; i++)
        ok = strcmp(names[i - 1], names[i]) != 0 ||
             err_set(err, ERR_USAGE, "two recordings would both be written to %s; take one, or rename it",
                     text_short(names[i]).text);
    for (size_t i = 0; names && i < count; i++)
        free(names[i]);
    free(names);
    return ok;
}

bool result_files_write(const struct run_list *runs, const char *folder, struct err *err)
{
    bool ok = files_make_folder(folder, err);
    for (size_t i = 0; ok && i < runs->count; i++) {
        struct text content = { 0 };
        char *name = name_of(runs->items[i].file, runs->items[i].row);
        char *path = name ? files_join(folder, name) : NULL;
        ok = path ? run_list_write(&runs->items[i], 1, &content, err) &&
                        files_write(path, content.data, content.length, err)
                  : err_memory(err);
        free(name);
        free(path);
        text_clear(&content);
    }
    return ok;
}
