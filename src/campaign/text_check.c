/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/text_check.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/* The bytes of the character at `at`, its code in *code; 0 when it is not UTF-8 (RFC 3629: no overlong forms, no
 * surrogates, nothing above U+10FFFF). */
static size_t decode(const unsigned char *at, size_t left, unsigned *code)
{
    static const unsigned least[] = { 0, 0, 0x80, 0x800, 0x10000 };
    size_t length = at[0] < 0x80             ? 1
                    : (at[0] & 0xE0) == 0xC0 ? 2
                    : (at[0] & 0xF0) == 0xE0 ? 3
                    : (at[0] & 0xF8) == 0xF0 ? 4
                                             : 0;
    if (length == 0 || length > left)
        return 0;
    *code = length == 1 ? at[0] : at[0] & (0xFFU >> (length + 1));
    for (size_t i = 1; i < length; i++) {
        if ((at[i] & 0xC0) != 0x80)
            return 0;
        *code = *code << 6 | (at[i] & 0x3FU);
    }
    if (*code < least[length] || (*code >= 0xD800 && *code <= 0xDFFF) || *code > 0x10FFFF)
        return 0;
    return length;
}

/* Control characters, and the two separators that some readers take for the end of a line. */
static bool is_control(unsigned code)
{
    return (code < 0x20 && code != '\t' && code != '\n' && code != '\r') || (code >= 0x7F && code < 0xA0) ||
           code == 0x2028 || code == 0x2029 || code == 0xFFFE || code == 0xFFFF;
}

size_t text_mark_size(const char *text, size_t size)
{
    return size >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

bool text_check(const char *text, size_t size, const char *file, struct err *err)
{
    struct place place = { .file = file, .line = 1, .column = 1 };
    for (size_t i = text_mark_size(text, size); i < size;) {
        const unsigned char *at = (const unsigned char *)text + i;
        unsigned code = 0;
        size_t length = decode(at, size - i, &code);
        if (length == 0)
            return err_at(err, ERR_SYNTAX, &place, "byte 0x%02X is not UTF-8; save the file as UTF-8", (unsigned)*at);
        if (is_control(code))
            return err_at(err, ERR_SYNTAX, &place, "control character U+%04X; only text is right here", code);
        i += length;
        bool is_line_end = code == '\n' || (code == '\r' && !(i < size && text[i] == '\n'));
        place.line += is_line_end;
        place.column = is_line_end ? 1 : place.column + 1;
    }
    return true;
}

size_t text_character_count(const char *text)
{
    size_t count = 0;
    for (; *text; text++)
        count += ((unsigned char)*text & 0xC0) != 0x80;
    return count;
}

struct excerpt excerpt(const char *text)
{
    struct excerpt out;
    text_fit(out.text, sizeof out.text, "%s", text);
    for (char *at = out.text; *at;) {
        unsigned code = 0;
        size_t length = decode((const unsigned char *)at, strlen(at), &code);
        if (length == 0)
            *at = '?';
        else if (code < 0x20)
            *at = ' ';
        at += length > 0 ? length : 1;
    }
    return out;
}

struct excerpt excerpt_number(double value, int digits)
{
    struct excerpt out;
    snprintf(out.text, sizeof out.text, "%.*g", digits, value);
    char *comma = strchr(out.text, ',');
    if (comma)
        *comma = '.';
    return out;
}
