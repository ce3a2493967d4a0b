/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "campaign/campaign_read.h"

#include "base/files.h"
#include "base/memory.h"
#include "base/nearest.h"
#include "campaign/file_hint.h"
#include "campaign/text_check.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

size_t reader_mistake_count(const struct campaign_reader *reader)
{
    return reader->errors->count + reader->errors->dropped;
}

void reader_out_of_memory(struct campaign_reader *reader)
{
    struct err err;
    err_memory(&err);
    err_list_add(reader->errors, &err);
}

void reader_unknown_name(struct campaign_reader *reader, const struct place *where, const char *key, const char *kind,
                         const char *name)
{
    const struct campaign *campaign = reader->campaign;
    bool is_variant = strcmp(kind, "variant") == 0;
    size_t count = is_variant ? campaign->variant_count : campaign->microphone_count;
    const char **names = memory_new(count, sizeof *names);
    if (!names) {
        reader_out_of_memory(reader);
        return;
    }
    for (size_t i = 0; i < count; i++)
        names[i] = is_variant ? campaign->variants[i].name : campaign->microphones[i].name;
    bool is_told = reader->errors->count < ERR_LIST_MAX; /* else it is only counted, and need not be sought */
    const char *near = is_told ? nearest_name(name, names, count) : NULL;
    if (near)
        err_list_at(reader->errors, ERR_NAME, where,
                    "%s is \"%s\", which is no %s of the campaign; perhaps %s is meant", key, excerpt(name).text, kind,
                    near);
    else
        err_list_at(reader->errors, ERR_NAME, where, "%s is \"%s\", which is no %s of the campaign; such as %s is", key,
                    excerpt(name).text, kind, names[0]);
    free(names);
}

/* Takes "." and empty parts out of a relative path; false when a part is "..". */
static bool tidy_path(char *name)
{
    char *out = name;
    for (const char *at = name; *at;) {
        size_t length = strcspn(at, "/");
        if (length == 2 && at[0] == '.' && at[1] == '.')
            return false;
        if (length > 0 && !(length == 1 && at[0] == '.')) {
            if (out != name)
                *out++ = '/';
            memmove(out, at, length);
            out += length;
        }
        at += length;
        at += *at == '/';
    }
    *out = '\0';
    return true;
}

static bool is_inside(const char *path, const char *folder)
{
    size_t length = strlen(folder);
    if (length == 1 && folder[0] == '/')
        return true;
    return strncmp(path, folder, length) == 0 && path[length] == '/';
}

static void tell_absent(struct campaign_reader *reader, const char *name, const char *path, const struct place *where)
{
    char *hint = NULL;
    bool is_told = reader->errors->count < ERR_LIST_MAX; /* else it is only counted */
    if (is_told && !file_hint(path, &hint))
        reader_out_of_memory(reader);
    else if (hint)
        err_list_at(reader->errors, ERR_FILE, where,
                    "there is no file \"%s\" in the campaign's folder; perhaps %s is meant", excerpt(name).text,
                    excerpt(hint).text);
    else
        err_list_at(reader->errors, ERR_FILE, where, "there is no file \"%s\" in the campaign's folder",
                    excerpt(name).text);
    free(hint);
}

static bool check_present(struct campaign_reader *reader, const char *name, const struct place *where)
{
    char *path = files_join(reader->folder, name);
    if (!path) {
        reader_out_of_memory(reader);
        return false;
    }
    struct stat info;
    char *real = realpath(path, NULL);
    int reason = errno;
    bool ok = false;
    if (!real && reason == ENOMEM)
        reader_out_of_memory(reader);
    else if (!real && strchr(name, '\\'))
        err_list_at(reader->errors, ERR_FILE, where, "there is no file \"%s\"; write / between folders",
                    excerpt(name).text);
    else if (!real && reason == ENOENT)
        tell_absent(reader, name, path, where);
    else if (!real)
        err_list_at(reader->errors, ERR_FILE, where, "cannot reach \"%s\": %s", excerpt(name).text, strerror(reason));
    else if (!is_inside(real, reader->folder))
        err_list_at(reader->errors, ERR_FILE, where,
                    "\"%s\" is a link out of the campaign's folder; copy the file into it", excerpt(name).text);
    else if (stat(real, &info) != 0 || !S_ISREG(info.st_mode))
        err_list_at(reader->errors, ERR_FILE, where, "\"%s\" is no file", excerpt(name).text);
    else
        ok = true;
    free(real);
    free(path);
    return ok;
}

bool reader_check_file(struct campaign_reader *reader, bool is_needed, char *name, const struct place *where)
{
    if (name[0] == '/') {
        err_list_at(reader->errors, ERR_FILE, where,
                    "\"%s\" is an absolute path; name a file inside the campaign's folder", excerpt(name).text);
        return false;
    }
    struct excerpt shown = excerpt(name);
    if (!tidy_path(name)) {
        err_list_at(reader->errors, ERR_FILE, where, "\"%s\" leaves the campaign's folder; name a file inside it",
                    shown.text);
        return false;
    }
    if (!*name) {
        err_list_at(reader->errors, ERR_FILE, where, "\"%s\" names no file", shown.text);
        return false;
    }
    return !is_needed || !reader->folder || check_present(reader, name, where);
}
