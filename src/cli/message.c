/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/message.h"

#include <stdarg.h>
#include <stdio.h>

void message_err(const struct err *err)
{
    char line[sizeof err->file + sizeof err->text + 32];
    err_format(err, line, sizeof line);
    message("%s", line);
}

void message_errors(const struct err_list *errors)
{
    for (size_t i = 0; i < errors->count; i++)
        message_err(&errors->items[i]);
    if (errors->dropped > 0)
        message("and %zu more mistakes", errors->dropped);
}

void message(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fputs("thrum: ", stderr);
    vfprintf(stderr, format, args);
    fputc('\n', stderr);
    va_end(args);
}

enum exit_status status_of(enum err_kind kind)
{
    switch (kind) {
    case ERR_NONE:
        return STATUS_DONE;
    case ERR_USAGE:
    case ERR_SYNTAX:
    case ERR_NAME:
    case ERR_RANGE:
    case ERR_MISSING:
        return STATUS_WRONG_USE;
    case ERR_FILE:
    case ERR_AUDIO:
    case ERR_MEMORY:
    case ERR_INTERNAL:
        return STATUS_FAILED;
    }
    return STATUS_FAILED;
}

bool print_text(const struct text *text)
{
    if (text->failed) {
        message("out of memory");
        return false;
    }
    if ((text->length > 0 && fwrite(text->data, 1, text->length, stdout) != text->length) || fflush(stdout) != 0) {
        message("cannot write to standard output");
        return false;
    }
    return true;
}
