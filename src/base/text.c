/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"

#include "base/memory.h"

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

void text_add_args(struct text *text, const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    int needed = vsnprintf(NULL, 0, format, again);
    va_end(again);
    if (needed < 0 || !reserve(text, (size_t)needed)) {
        text->failed = true;
        return;
    }
    vsnprintf(text->data + text->length, (size_t)needed + 1, format, args);
    text->length += (size_t)needed;
}

void text_addf(struct text *text, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    text_add_args(text, format, args);
    va_end(args);
}

void text_clear(struct text *text)
{
    free(text->data);
    *text = (struct text){ 0 };
}

void text_fit_args(char *buffer, size_t size, const char *format, va_list args)
{
    static const char mark[] = "\xE2\x80\xA6";
    int needed = vsnprintf(buffer, size, format, args);
    if (needed < 0)
        buffer[0] = '\0';
    if (needed < 0 || (size_t)needed < size)
        return;
    size_t length = size - sizeof mark;
    while (length > 0 && ((unsigned char)buffer[length] & 0xC0) == 0x80)
        length--;
    memcpy(buffer + length, mark, sizeof mark);
}

void text_fit(char *buffer, size_t size, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    text_fit_args(buffer, size, format, args);
    va_end(args);
}

struct short_text text_short(const char *string)
{
    struct short_text out;
    text_fit(out.text, sizeof out.text, "%s", string);
    return out;
}
