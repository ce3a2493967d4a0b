/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/value.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/num.h"
#include "campaign/text_check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* "a number from 0.01 to 1000 (m)" */
struct allowed {
    char text[192];
};

static struct allowed describe(const struct value_rule *rule)
{
    struct allowed out;
    snprintf(out.text, sizeof out.text, "%s from %s to %s%s%s%s",
             rule->type == VALUE_COUNT ? "a whole number" : "a plain number", excerpt_number(rule->least, 9).text,
             excerpt_number(rule->most, 9).text, rule->unit ? " (" : "", rule->unit ? rule->unit : "",
             rule->unit ? ")" : "");
    return out;
}

/* A number whose decimal mark is `mark`, '.' or ','; as num_parse but for that. */
static bool parse(const char *text, char mark, double *out)
{
    char copy[64];
    const char *comma = mark == ',' ? strchr(text, ',') : NULL;
    if (!comma)
        return (mark == '.' || !strchr(text, '.')) && num_parse(text, out);
    size_t length = strlen(text);
    if (length >= sizeof copy || strchr(text, '.'))
        return false;
    memcpy(copy, text, length + 1);
    copy[comma - text] = '.';
    return num_parse(copy, out);
}

/* "4.200", "4,200", "4'200", "4 200": groups of three digits behind some of `marks`. */
static bool is_grouped(const char *text, const char *marks)
{
    static const char digits[] = "0123456789";
    size_t first = strspn(text, digits);
    bool ok = first >= 1 && first <= 3 && text[0] != '0' && text[first];
    for (const char *at = text + first; ok && *at; at += 4)
        ok = strchr(marks, *at) && strspn(at + 1, digits) == 3;
    return ok;
}

char value_decimal_mark(const char *text)
{
    const char *mark = strpbrk(text, ".,");
    double ignored;
    bool has_sign = *text == '-' || *text == '+';
    return mark && parse(text, *mark, &ignored) && !is_grouped(text + has_sign, ".,") ? *mark : '\0';
}

/* `text` with `to` for each of its `from`, or without them where `to` is 0. */
static struct excerpt with_mark(const char *text, const char *from, char to)
{
    struct excerpt out = { { 0 } };
    size_t used = 0;
    for (; *text && used + 1 < sizeof out.text; text++)
        if (!strchr(from, *text) || to)
            out.text[used++] = strchr(from, *text) ? to : *text;
    return out;
}

/* A number with the mark that is not `decimal_mark`. Where that is not known, a fourth digit makes it known. */
static bool other_mark(const char *key, const char *text, char decimal_mark, const struct place *where, struct err *err)
{
    const char *mark = decimal_mark == ',' ? "." : ",";
    struct excerpt decimals = with_mark(text, mark, decimal_mark ? decimal_mark : ',');
    double value;
    if (is_grouped(text, mark) && parse(text, *mark, &value))
        return err_at(err, ERR_RANGE, where, "%s is \"%s\", which may be %s or %s; write %s%s or %s", key, text,
                      excerpt_number(value, 9).text, with_mark(text, mark, 0).text, decimals.text,
                      decimal_mark ? "" : "0", with_mark(text, mark, 0).text);
    return err_at(err, ERR_RANGE, where, "%s has a decimal %s, \"%s\"%s; write %s", key,
                  *mark == ',' ? "comma" : "point", text, *mark == ',' ? "" : ", in a log with decimal commas",
                  decimals.text);
}

bool value_number(const char *key, const struct value_rule *rule, const char *text, char decimal_mark,
                  const struct place *where, double *out, struct err *err)
{
    double value;
    if (rule->in_thousands && is_grouped(text, ".,' "))
        return err_at(err, ERR_RANGE, where, "%s is \"%s\"; write thousands without a mark between, %s", key,
                      excerpt(text).text, with_mark(text, ".,' ", 0).text);
    if (!parse(text, decimal_mark == ',' ? ',' : '.', &value)) {
        if (strlen(text) < sizeof(struct excerpt) && parse(text, decimal_mark == ',' ? '.' : ',', &value))
            return other_mark(key, text, decimal_mark, where, err);
        return err_at(err, ERR_RANGE, where, "%s is \"%s\"; must be %s", key, excerpt(text).text, describe(rule).text);
    }
    bool is_whole = rule->type != VALUE_COUNT || value == floor(value);
    if (!(value >= rule->least && value <= rule->most) || !is_whole)
        return err_at(err, ERR_RANGE, where, "%s is %s; must be %s", key, excerpt(text).text, describe(rule).text);
    *out = value;
    return true;
}

static bool set_text(char **target, const char *key, const struct value_rule *rule, const char *text,
                     const struct place *where, struct err *err)
{
    if (!*text)
        return err_at(err, ERR_MISSING, where, "%s is empty; give it a text", key);
    for (const char *at = text; *at; at++)
        if ((unsigned char)*at < 0x20)
            return err_at(err, ERR_SYNTAX, where, "%s has more than one line or a tab; must be one line of text", key);
    if (text_character_count(text) > (size_t)rule->most)
        return err_at(err, ERR_RANGE, where, "%s is %zu characters long; at most %.0f are right", key,
                      text_character_count(text), rule->most);
    char *copy = memory_copy_text(text);
    if (!copy)
        return err_memory(err);
    free(*target);
    *target = copy;
    return true;
}

static bool set_choice(void *target, const char *key, const struct value_rule *rule, const char *text,
                       const struct place *where, struct err *err)
{
    char all[96] = "";
    size_t used = 0;
    int count = 0;
    for (; rule->choices[count]; count++) {
        if (strcmp(text, rule->choices[count]) == 0) {
            memcpy(target, &count, sizeof count);
            return true;
        }
        int added = snprintf(all + used, sizeof all - used, "%s%s", count ? ", " : "", rule->choices[count]);
        used += (size_t)added < sizeof all - used ? (size_t)added : 0;
    }
    const char *near = strlen(text) > 2 ? nearest_name(text, rule->choices, (size_t)count) : NULL;
    if (near)
        return err_at(err, ERR_NAME, where, "%s is \"%s\"; perhaps %s is meant (one of %s)", key, excerpt(text).text,
                      near, all);
    return err_at(err, ERR_NAME, where, "%s is \"%s\"; must be one of %s", key, excerpt(text).text, all);
}

bool value_set(void *target, const char *key, const struct value_rule *rule, const char *text,
               const struct place *where, struct err *err)
{
    unsigned char *at = (unsigned char *)target + rule->offset;
    double number;
    switch (rule->type) {
    case VALUE_TEXT: {
        char *held;
        memcpy(&held, at, sizeof held);
        if (!set_text(&held, key, rule, text, where, err))
            return false;
        memcpy(at, &held, sizeof held);
        return true;
    }
    case VALUE_COUNT:
        if (!value_number(key, rule, text, '.', where, &number, err))
            return false;
        memcpy(at, &(int){ (int)number }, sizeof(int));
        return true;
    case VALUE_NUMBER:
        if (!value_number(key, rule, text, '.', where, &number, err))
            return false;
        memcpy(at, &number, sizeof number);
        return true;
    case VALUE_CHOICE:
        return set_choice(at, key, rule, text, where, err);
    }
    return err_set(err, ERR_INTERNAL, "%s has no type", key);
}
