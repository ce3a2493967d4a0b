/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/csv.h"

#include "base/absent.h"
#include "base/num.h"

#include <math.h>
#include <string.h>

static void separate(struct text *out, bool *at_start)
{
    if (!*at_start)
        text_add(out, ",");
    *at_start = false;
}

/* A text that a spreadsheet would take for a formula gets an apostrophe before it. */
static bool is_formula(const char *text)
{
    return text[0] == '=' || text[0] == '@' || text[0] == '\t' || text[0] == '\r' || text[0] == '+' ||
           (text[0] == '-' && text[1] != '\0');
}

void csv_text(struct text *out, const char *text, bool *at_start)
{
    separate(out, at_start);
    if (!text)
        return;
    bool guarded = is_formula(text);
    if (!guarded && !strpbrk(text, ",\"\r\n")) {
        text_add(out, text);
        return;
    }
    text_add(out, guarded ? "\"'" : "\"");
    for (const char *at = text; *at; at++) {
        if (*at == '"')
            text_add(out, "\"");
        text_add_bytes(out, at, 1);
    }
    text_add(out, "\"");
}

void csv_number(struct text *out, double value, int decimals, bool *at_start)
{
    char number[64];
    separate(out, at_start);
    if (!isfinite(value))
        return;
    num_format(number, sizeof number, value, decimals);
    size_t length = strlen(number);
    while (decimals > 0 && number[length - 1] == '0')
        length--;
    if (decimals > 0 && number[length - 1] == '.')
        length--;
    text_add_bytes(out, number, length);
}

void csv_end(struct text *out, bool *at_start)
{
    text_add(out, "\r\n");
    *at_start = true;
}
