/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* mkostemp */
#include "base/files.h"

#include "base/memory.h"
#include "base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

char *files_join(const char *folder, const char *name)
{
    struct text path = { 0 };
    text_add(&path, folder);
    if (path.length > 0 && path.data && path.data[path.length - 1] != '/')
        text_add(&path, "/");
    text_add(&path, name);
    if (path.failed)
        text_clear(&path);
    return path.data;
}

static bool make_one(const char *path, struct err *err)
{
    struct stat info;
    if (mkdir(path, 0777) == 0)
        return true;
    int reason = errno;
    if (reason == EEXIST && stat(path, &info) == 0 && S_ISDIR(info.st_mode))
        return true;
    return err_file(err, ERR_FILE, path, "cannot make this folder: %s", strerror(reason));
}

bool files_make_folder(const char *path, struct err *err)
{
    char *copy = memory_copy_text(path);
    if (!copy)
        return err_memory(err);
    bool ok = true;
    for (char *at = copy + 1; ok && *at; at++) {
        if (*at != '/' || at[-1] == '/')
            continue;
        *at = '\0';
        ok = make_one(copy, err);
        *at = '/';
    }
    ok = ok && make_one(copy, err);
    free(copy);
    return ok;
}

static bool write_all(int file, const char *data, size_t size)
{
    while (size > 0) {
        ssize_t written = write(file, data, size);
        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0)
            return false;
        data += written;
        size -= (size_t)written;
    }
    return true;
}

/* Signals that would end the process wait until the file stands under its name or its temporary one is gone. */
static bool write_renamed(const char *path, char *temporary, const void *data, size_t size, struct err *err)
{
    int file = mkostemp(temporary, O_CLOEXEC);
    if (file < 0)
        return err_file(err, ERR_FILE, path, "cannot write: %s", strerror(errno));
    mode_t mask = umask(0);
    umask(mask);
    bool ok = write_all(file, data, size) && fchmod(file, 0666 & ~mask) == 0;
    int reason = errno;
    if (close(file) != 0 && ok) {
        ok = false;
        reason = errno;
    }
    if (ok && rename(temporary, path) != 0) {
        ok = false;
        reason = errno;
    }
    if (ok)
        return true;
    unlink(temporary);
    return err_file(err, ERR_FILE, path, "cannot write: %s", strerror(reason));
}

bool files_write(const char *path, const void *data, size_t size, struct err *err)
{
    struct text temporary = { 0 };
    text_addf(&temporary, "%s.XXXXXX", path);
    if (temporary.failed)
        return err_memory(err);
    sigset_t waiting, before;
    sigemptyset(&waiting);
    sigaddset(&waiting, SIGINT);
    sigaddset(&waiting, SIGTERM);
    sigaddset(&waiting, SIGHUP);
    pthread_sigmask(SIG_BLOCK, &waiting, &before);
    bool ok = write_renamed(path, temporary.data, data, size, err);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    text_clear(&temporary);
    return ok;
}

bool files_read(const char *path, size_t most, char **out, size_t *size, struct err *err)
{
    FILE *file = fopen(path, "rbe");
    if (!file)
        return err_file(err, ERR_FILE, path, "cannot open: %s", strerror(errno));
    struct text content = { 0 };
    char block[4096];
    size_t got;
    while (content.length <= most && (got = fread(block, 1, sizeof block, file)) > 0)
        text_add_bytes(&content, block, got);
    text_add_bytes(&content, "", 0);
    bool ok = !ferror(file);
    int reason = errno;
    fclose(file);
    if (!ok)
        ok = err_file(err, ERR_FILE, path, "cannot read: %s", strerror(reason));
    else if (content.failed)
        ok = err_memory(err);
    else if (content.length > most)
        ok = err_file(err, ERR_FILE, path, "larger than %zu bytes; such a file is no campaign text", most);
    if (!ok) {
        text_clear(&content);
        return false;
    }
    *out = content.data;
    *size = content.length;
    return true;
}
