/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/message.h"

#include "base/text.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

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

/* Bytes at `text` that are a control character: C0, DEL, or C1 in UTF-8; 0 for none. */
static size_t control_length(const char *text)
{
    unsigned char first = (unsigned char)text[0], second = (unsigned char)text[1];
    if (first < 0x20 || first == 0x7F)
        return 1;
    return first == 0xC2 && second >= 0x80 && second < 0xA0 ? 2 : 0;
}

void message(const char *format, ...)
{
    char text[2048], line[4 * sizeof text];
    va_list args;
    va_start(args, format);
    text_fit_args(text, sizeof text, format, args);
    va_end(args);
    size_t length = 0;
    for (const char *at = text; *at;) {
        size_t control = control_length(at);
        for (size_t i = 0; i < control; i++)
            length += (size_t)snprintf(line + length, sizeof line - length, "\\x%02X", (unsigned char)at[i]);
        if (control == 0)
            line[length++] = *at;
        at += control == 0 ? 1 : control;
    }
    line[length] = '\0';
    fprintf(stderr, "thrum: %s\n", line);
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

enum exit_status message_wrong_use(const struct err_list *errors)
{
    message_errors(errors);
    bool is_memory = errors->count > 0 && errors->items[0].kind == ERR_MEMORY;
    return is_memory ? STATUS_FAILED : STATUS_WRONG_USE;
}

bool print_text(const struct text *text)
{
    if (text->failed) {
        message("out of memory");
        return false;
    }
    if ((text->length > 0 && fwrite(text->data, 1, text->length, stdout) != text->length) || fflush(stdout) != 0) {
        message("cannot write to standard output: %s", strerror(errno));
        return false;
    }
    return true;
}
