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

/* `text` is a number but for its one comma. */
static bool has_decimal_comma(const char *text)
{
    char copy[64];
    double ignored;
    size_t length = strlen(text);
    const char *comma = strchr(text, ',');
    if (!comma || length >= sizeof copy || comma == text || strchr(text, '.'))
        return false;
    memcpy(copy, text, length + 1);
    copy[comma - text] = '.';
    return num_parse(copy, &ignored);
}

static bool with_point(const char *key, const char *text, const struct place *where, struct err *err)
{
    char copy[64];
    snprintf(copy, sizeof copy, "%s", text);
    *strchr(copy, ',') = '.';
    return err_at(err, ERR_RANGE, where, "%s has a decimal comma, \"%s\"; write %s", key, text, copy);
}

/* "4.200", "4,200", "4'200", "4 200": groups of three digits. */
static bool is_grouped(const char *text)
{
    static const char digits[] = "0123456789";
    size_t first = strspn(text, digits);
    bool ok = first >= 1 && first <= 3 && text[first];
    for (const char *at = text + first; ok && *at; at += 4)
        ok = strchr(".,' ", *at) && strspn(at + 1, digits) == 3;
    return ok;
}

static bool without_groups(const char *key, const char *text, const struct place *where, struct err *err)
{
    char copy[64];
    size_t used = 0;
    for (const char *at = text; *at && used + 1 < sizeof copy; at++)
        if (*at >= '0' && *at <= '9')
            copy[used++] = *at;
    copy[used] = '\0';
    return err_at(err, ERR_RANGE, where, "%s is \"%s\"; write thousands without a mark between, %s", key,
                  excerpt(text).text, copy);
}

bool value_number(const char *key, const struct value_rule *rule, const char *text, const struct place *where,
                  double *out, struct err *err)
{
    double value;
    if (rule->in_thousands && is_grouped(text))
        return without_groups(key, text, where, err);
    if (has_decimal_comma(text))
        return with_point(key, text, where, err);
    if (!num_parse(text, &value))
        return err_at(err, ERR_RANGE, where, "%s is \"%s\"; must be %s", key, excerpt(text).text, describe(rule).text);
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
        if (!value_number(key, rule, text, where, &number, err))
            return false;
        memcpy(at, &(int){ (int)number }, sizeof(int));
        return true;
    case VALUE_NUMBER:
        if (!value_number(key, rule, text, where, &number, err))
            return false;
        memcpy(at, &number, sizeof number);
        return true;
    case VALUE_CHOICE:
        return set_choice(at, key, rule, text, where, err);
    }
    return err_set(err, ERR_INTERNAL, "%s has no type", key);
}
