/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_CAMPAIGN_FOLDER_H
#define THRUM_TESTS_CAMPAIGN_FOLDER_H

/* A campaign's folder for a test, in a temporary place: the two texts, empty files a.wav, b.wav, c.wav and sub/d.wav,
 * and link.wav, a link that leads out of the folder. Recordings' contents are no matter of the campaign's reader. */

#include "base/files.h"
#include "base/text.h"
#include "campaign/campaign.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *const folder_files[] = { "sub/d.wav", "a.wav", "b.wav", "c.wav" };

static inline void folder_write(const char *folder, const char *name, const char *data, size_t size)
{
    struct err err;
    char *path = files_join(folder, name);
    if (!path || !files_write(path, data, size, &err)) {
        printf("Bail out! %s can't be written\n", name);
        exit(EXIT_FAILURE);
    }
    free(path);
}

/* Makes the folder; `path` is filled with its name. */
static inline void folder_make(char path[64])
{
    struct err err;
    snprintf(path, 64, "/tmp/thrum-campaign-XXXXXX");
    char *sub = mkdtemp(path) ? files_join(path, "sub") : NULL;
    char *link = sub ? files_join(path, "link.wav") : NULL;
    if (!link || !files_make_folder(sub, &err) || symlink("/dev/null", link) != 0) {
        printf("Bail out! no temporary folder\n");
        exit(EXIT_FAILURE);
    }
    for (size_t i = 0; i < sizeof folder_files / sizeof *folder_files; i++)
        folder_write(path, folder_files[i], "", 0);
    free(sub);
    free(link);
}

static inline void folder_remove_file(const char *folder, const char *name)
{
    char *path = files_join(folder, name);
    if (path)
        remove(path);
    free(path);
}

static inline void folder_remove(const char *folder)
{
    for (size_t i = 0; i < sizeof folder_files / sizeof *folder_files; i++)
        folder_remove_file(folder, folder_files[i]);
    folder_remove_file(folder, "sub");
    folder_remove_file(folder, "link.wav");
    folder_remove_file(folder, "campaign.yaml");
    folder_remove_file(folder, "runs.csv");
    remove(folder);
}

/* All mistakes in one line, " | " between them, with the folder taken off the file names. */
static inline char *folder_messages(const char *folder, const struct err_list *errors)
{
    struct text all = { 0 };
    size_t skip = strlen(folder) + 1;
    text_add(&all, "");
    for (size_t i = 0; i < errors->count; i++) {
        struct err err = errors->items[i];
        char line[800];
        if (strncmp(err.file, folder, skip - 1) == 0 && err.file[skip - 1] == '/')
            memmove(err.file, err.file + skip, strlen(err.file + skip) + 1);
        err_format(&err, line, sizeof line);
        text_addf(&all, "%s%s", i ? " | " : "", line);
    }
    return all.data;
}

#endif
