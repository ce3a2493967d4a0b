/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"

#include "base/memory.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool reserve(struct text *text, size_t more)
{
    if (text->failed)
        return false;
    void *data = text->data;
    if (!memory_grow(&data, &text->capacity, text->length + more + 1, 1))
        text->failed = true;
    else
        text->data = data;
    return !text->failed;
}

void text_add_bytes(struct text *text, const void *bytes, size_t count)
{
    if (!reserve(text, count))
        return;
    memcpy(text->data + text->length, bytes, count);
    text->length += count;
    text->data[text->length] = '\0';
}

void text_add(struct text *text, const char *string)
{
    text_add_bytes(text, string, strlen(string));
}

void text_addf(struct text *text, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    int needed = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (needed < 0 || !reserve(text, (size_t)needed)) {
        text->failed = true;
        return;
    }
    va_start(args, format);
    vsnprintf(text->data + text->length, (size_t)needed + 1, format, args);
    va_end(args);
    text->length += (size_t)needed;
}

void text_clear(struct text *text)
{
    free(text->data);
    *text = (struct text){ 0 };
}
