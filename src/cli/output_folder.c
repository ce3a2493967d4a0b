/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/output_folder.h"

#include "base/memory.h"
#include "base/text.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Makes `path` the path of what it is in; false when nothing is left of it. */
static bool cut_last_name(char *path)
{
    size_t length = strlen(path);
    while (length > 1 && path[length - 1] == '/')
        length--;
    while (length > 0 && path[length - 1] != '/')
        length--;
    path[length] = '\0';
    return length > 0;
}

bool output_folder_check(const char *path, struct err *err)
{
    struct stat info;
    char *nearest = memory_copy_text(path);
    if (!nearest)
        return err_memory(err);
    bool is_there = stat(nearest, &info) == 0;
    while (!is_there && errno == ENOENT) {
        if (!cut_last_name(nearest))
            memcpy(nearest, ".", 2);
        is_there = stat(nearest, &info) == 0;
    }
    bool ok = true;
    if (!is_there)
        ok = err_file(err, ERR_FILE, path, "cannot be made: %s", strerror(errno));
    else if (!S_ISDIR(info.st_mode))
        ok = err_file(err, ERR_FILE, path, "cannot be written: %s is no folder", text_short(nearest).text);
    else if (access(nearest, W_OK | X_OK) != 0)
        ok = err_file(err, ERR_FILE, path, "cannot be written: %s", strerror(errno));
    free(nearest);
    return ok;
}
