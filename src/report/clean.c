/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/clean.h"

#include "base/memory.h"

#include <glib.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define ELLIPSIS "\xe2\x80\xa6"

/* One character at `at`; *next is behind it. Bytes that are no UTF-8 give the replacement character, one each. */
static gunichar take(const char *at, const char **next)
{
    gunichar c = g_utf8_get_char_validated(at, -1);
    if (c == (gunichar)-1 || c == (gunichar)-2) {
        *next = at + 1;
        return 0xfffd;
    }
    *next = at + g_unichar_to_utf8(c, NULL);
    return c;
}

/* What a character becomes, as bytes, into `out` of at least 8: spaces for control characters; marks that turn the
 * direction of writing are dropped, so that a name can't rearrange the text beside it; noncharacters, which XML
 * refuses, are replaced. Returns the count of bytes; *next is behind the character. */
static size_t clean_character(const char *at, const char **next, char *out)
{
    gunichar c = take(at, next);
    if (c < 0x20 || (c >= 0x7f && c < 0xa0))
        c = ' ';
    else if ((c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069) || c == 0x2028 || c == 0x2029)
        return 0;
    else if ((c & 0xfffe) == 0xfffe || (c >= 0xfdd0 && c <= 0xfdef))
        c = 0xfffd;
    return (size_t)g_unichar_to_utf8(c, out);
}

char *clean_text(const char *text, size_t most)
{
    struct text out = { 0 };
    size_t count = 0;
    text_add(&out, "");
    for (const char *at = text ? text : "", *next; *at; at = next) {
        char bytes[8];
        size_t length = clean_character(at, &next, bytes);
        bool is_cut = ++count == most && *next;
        text_add_bytes(&out, is_cut ? ELLIPSIS : bytes, is_cut ? strlen(ELLIPSIS) : length);
        if (is_cut)
            break;
    }
    if (out.failed)
        text_clear(&out);
    return out.data;
}

void clean_copy(char *out, size_t size, const char *text, size_t most)
{
    size_t count = 0, used = 0;
    for (const char *at = text ? text : "", *next; *at && used + 8 < size; at = next) {
        char bytes[8];
        size_t length = clean_character(at, &next, bytes);
        bool is_cut = *next && (++count == most || used + length + 8 >= size);
        memcpy(out + used, is_cut ? ELLIPSIS : bytes, is_cut ? strlen(ELLIPSIS) : length);
        used += is_cut ? strlen(ELLIPSIS) : length;
        if (is_cut)
            break;
    }
    out[used] = '\0';
}

void clean_add_html(struct text *out, const char *text)
{
    for (const char *at = text; *at; at++) {
        switch (*at) {
        case '&':
            text_add(out, "&amp;");
            break;
        case '<':
            text_add(out, "&lt;");
            break;
        case '>':
            text_add(out, "&gt;");
            break;
        case '"':
            text_add(out, "&quot;");
            break;
        case '\'':
            text_add(out, "&#39;");
            break;
        default:
            text_add_bytes(out, at, 1);
        }
    }
}

static size_t columns_of(gunichar c)
{
    return g_unichar_iszerowidth(c) ? 0 : g_unichar_iswide(c) ? 2 : 1;
}

size_t clean_columns(const char *text)
{
    size_t columns = 0;
    for (const char *at = text, *next; *at; at = next)
        columns += columns_of(take(at, &next));
    return columns;
}

void clean_add_padded(struct text *out, const char *text, size_t columns, int is_right)
{
    size_t wide = clean_columns(text);
    bool is_cut = wide > columns;
    if (is_right && !is_cut)
        for (size_t i = wide; i < columns; i++)
            text_add(out, " ");
    size_t used = 0;
    for (const char *at = text, *next; *at; at = next) {
        size_t one = columns_of(take(at, &next));
        if (is_cut && used + one > columns - 1)
            break;
        text_add_bytes(out, at, (size_t)(next - at));
        used += one;
    }
    if (is_cut) {
        text_add(out, ELLIPSIS);
        used++;
    }
    for (; (!is_right || is_cut) && used < columns; used++)
        text_add(out, " ");
}

char *clean_formatted(size_t most, const char *format, va_list args)
{
    struct text raw = { 0 };
    text_add_args(&raw, format, args);
    char *text = raw.failed ? NULL : clean_text(raw.data, most);
    text_clear(&raw);
    return text;
}

static bool is_unit(const char *text)
{
    static const char *const units[] = { "dB", "%", "N", "Hz", "m", "s", "W", "rev/min", "m/s", "sone", "\xc2\xb5Pa" };
    size_t length = strcspn(text, " ,.;:()");
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strlen(units[i]) == length && strncmp(text, units[i], length) == 0)
            return true;
    return false;
}

char *clean_units_kept(const char *text)
{
    char *out = memory_new(2 * strlen(text) + 1, 1), *end = out;
    for (size_t i = 0; out && text[i]; i++) {
        bool is_kept = text[i] == ' ' && i > 0 && text[i - 1] >= '0' && text[i - 1] <= '9' && is_unit(text + i + 1);
        if (is_kept)
            *end++ = '\xc2';
        *end++ = is_kept ? '\xa0' : text[i];
    }
    return out;
}
