/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/err.h"

#include "base/text.h"

#include <string.h>

static void PRINTF_LIKE(4, 0)
    fill(struct err *err, enum err_kind kind, const struct place *place, const char *format, va_list args)
{
    if (!err)
        return;
    *err = (struct err){ .kind = kind };
    if (place) {
        if (place->file)
            text_fit(err->file, sizeof err->file, "%s", place->file);
        err->line = place->line;
        err->column = place->column;
    }
    text_fit_args(err->text, sizeof err->text, format, args);
}

bool err_set(struct err *err, enum err_kind kind, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fill(err, kind, NULL, format, args);
    va_end(args);
    return false;
}

bool err_at(struct err *err, enum err_kind kind, const struct place *place, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fill(err, kind, place, format, args);
    va_end(args);
    return false;
}

bool err_file(struct err *err, enum err_kind kind, const char *file, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fill(err, kind, &(struct place){ .file = file }, format, args);
    va_end(args);
    return false;
}

bool err_memory(struct err *err)
{
    return err_set(err, ERR_MEMORY, "out of memory");
}

void err_format(const struct err *err, char *out, size_t size)
{
    if (!err->file[0])
        text_fit(out, size, "%s", err->text);
    else if (err->line <= 0)
        text_fit(out, size, "%s: %s", err->file, err->text);
    else if (err->column <= 0)
        text_fit(out, size, "%s:%d: %s", err->file, err->line, err->text);
    else
        text_fit(out, size, "%s:%d:%d: %s", err->file, err->line, err->column, err->text);
}

void err_list_add(struct err_list *list, const struct err *err)
{
    if (list->count < ERR_LIST_MAX)
        list->items[list->count++] = *err;
    else
        list->dropped++;
}

void err_list_at(struct err_list *list, enum err_kind kind, const struct place *place, const char *format, ...)
{
    struct err err;
    va_list args;
    va_start(args, format);
    fill(&err, kind, place, format, args);
    va_end(args);
    err_list_add(list, &err);
}
