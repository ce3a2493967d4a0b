/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs one fuzz target over every file of the folders named on the command line, without a fuzzer: the seeds and each
 * input that once failed. A failing input ends the program. */
#include "require.h"
#include "tap.h"

#include "base/files.h"

#include <dirent.h>

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static void replay(const char *folder, const char *name)
{
    char *text, *path = files_join(folder, name);
    size_t size;
    struct err err;
    if (path && files_read(path, 1 << 20, &text, &size, &err)) {
        /* A copy of its exact size, so that a sanitizer sees a read past the end. */
        uint8_t *exact = malloc(size ? size : 1);
        if (exact) {
            memcpy(exact, text, size);
            tap_ok(LLVMFuzzerTestOneInput(exact, size) == 0, "%s", name);
        }
        free(exact);
        free(text);
    } else {
        tap_ok(false, "%s can be read", name);
    }
    free(path);
}

int main(int argument_count, char **arguments)
{
    for (int i = 1; i < argument_count; i++) {
        char *names[1000];
        size_t count = 0;
        DIR *folder = opendir(arguments[i]);
        tap_ok(folder != NULL, "%s is there", arguments[i]);
        for (struct dirent *entry; folder && count < 1000 && (entry = readdir(folder));)
            if (entry->d_name[0] != '.' && (names[count] = strdup(entry->d_name)))
                count++;
        if (folder)
            closedir(folder);
        qsort(names, count, sizeof *names, compare_names);
        for (size_t k = 0; k < count; k++) {
            replay(arguments[i], names[k]);
            free(names[k]);
        }
    }
    return tap_done();
}
