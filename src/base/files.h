/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_FILES_H
#define THRUM_BASE_FILES_H

/* Files and paths. A file is written whole or not at all: to a name of its own beside the target, then renamed. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* Makes `path` and the folders above it, where they are missing. */
bool files_make_folder(const char *path, struct err *err) MUST_CHECK;

bool files_write(const char *path, const void *data, size_t size, struct err *err) MUST_CHECK;

/* Files that belong together: all of them stand beside their targets before the first takes its name, so that what
 * fails (a full disk) leaves every target as it was. */
struct file_content {
    const char *path;
    const void *data;
    size_t size;
};
bool files_write_all(const struct file_content *files, size_t count, struct err *err) MUST_CHECK;

/* Reads a text of at most `most` bytes; *out is terminated and owned by the caller. */
bool files_read(const char *path, size_t most, char **out, size_t *size, struct err *err) MUST_CHECK;

/* folder/name, owned by the caller; NULL when memory is out. */
char *files_join(const char *folder, const char *name);

#endif
