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

static bool cannot_write(const char *path, int reason, struct err *err)
{
    return err_file(err, ERR_FILE, path, "cannot write: %s", strerror(reason));
}

/* The content under a name of its own beside the target; nothing is left of it on failure. */
static bool write_beside(const struct file_content *content, char **temporary, struct err *err)
{
    struct text name = { 0 };
    text_addf(&name, "%s.XXXXXX", content->path);
    if (name.failed)
        return err_memory(err);
    int file = mkostemp(name.data, O_CLOEXEC);
    if (file < 0) {
        int reason = errno;
        text_clear(&name);
        return cannot_write(content->path, reason, err);
    }
    mode_t mask = umask(0);
    umask(mask);
    bool ok = write_all(file, content->data, content->size) && fchmod(file, 0666 & ~mask) == 0;
    int reason = errno;
    if (close(file) != 0 && ok) {
        ok = false;
        reason = errno;
    }
    if (ok) {
        *temporary = name.data;
        return true;
    }
    unlink(name.data);
    text_clear(&name);
    return cannot_write(content->path, reason, err);
}

/* What rename() would refuse is found before the first file takes its name. */
static bool can_take_its_name(const struct file_content *content, struct err *err)
{
    struct stat status;
    if (lstat(content->path, &status) == 0 && S_ISDIR(status.st_mode))
        return cannot_write(content->path, EISDIR, err);
    return true;
}

static bool write_beside_and_rename(const struct file_content *files, size_t count, char **temporaries, struct err *err)
{
    for (size_t i = 0; i < count; i++)
        if (!can_take_its_name(&files[i], err) || !write_beside(&files[i], &temporaries[i], err))
            return false;
    for (size_t i = 0; i < count; i++) {
        if (rename(temporaries[i], files[i].path) != 0)
            return cannot_write(files[i].path, errno, err);
        free(temporaries[i]);
        temporaries[i] = NULL;
    }
    return true;
}

/* Signals that would end the process wait until all files stand under their names or all temporary ones are gone. */
bool files_write_all(const struct file_content *files, size_t count, struct err *err)
{
    char **temporaries = memory_new(count, sizeof *temporaries);
    if (!temporaries)
        return err_memory(err);
    sigset_t waiting, before;
    sigemptyset(&waiting);
    sigaddset(&waiting, SIGINT);
    sigaddset(&waiting, SIGTERM);
    sigaddset(&waiting, SIGHUP);
    pthread_sigmask(SIG_BLOCK, &waiting, &before);
    bool ok = write_beside_and_rename(files, count, temporaries, err);
    for (size_t i = 0; i < count; i++) {
        if (temporaries[i])
            unlink(temporaries[i]);
        free(temporaries[i]);
    }
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    free(temporaries);
    return ok;
}

bool files_write(const char *path, const void *data, size_t size, struct err *err)
{
    const struct file_content file = { path, data, size };
    return files_write_all(&file, 1, err);
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
