/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/clean.h"

#include <glib.h>
#include <stdbool.h>
#include <string.h>

#define REPLACEMENT "\xef\xbf\xbd"
#define ELLIPSIS "\xe2\x80\xa6"

/* Spaces for control characters; marks that turn the direction of writing are dropped, so that a name can't rearrange
 * the text beside it; noncharacters, which XML refuses, are replaced. */
static void add_character(struct text *out, gunichar c, const char *bytes, size_t count)
{
    if (c < 0x20 || (c >= 0x7f && c < 0xa0))
        text_add(out, " ");
    else if ((c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069) || c == 0x2028 || c == 0x2029)
        text_add(out, "");
    else if ((c & 0xfffe) == 0xfffe || (c >= 0xfdd0 && c <= 0xfdef))
        text_add(out, REPLACEMENT);
    else
        text_add_bytes(out, bytes, count);
}

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

char *clean_text(const char *text, size_t most)
{
    struct text out = { 0 };
    size_t count = 0;
    text_add(&out, "");
    for (const char *at = text ? text : "", *next; *at; at = next) {
        if (++count == most && at[1]) {
            text_add(&out, ELLIPSIS);
            break;
        }
        gunichar c = take(at, &next);
        if (c == 0xfffd)
            text_add(&out, REPLACEMENT);
        else
            add_character(&out, c, at, (size_t)(next - at));
    }
    if (out.failed)
        text_clear(&out);
    return out.data;
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
