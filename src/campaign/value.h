/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_VALUE_H
#define THRUM_CAMPAIGN_VALUE_H

/* One value from text, by a rule: what kind it is, where it goes in its struct and what is allowed. The campaign's
 * keys, the run log's columns and the command line's options all read their values here, so that "22,9" is refused with
 * the same words everywhere. Numbers are plain (base/num.h); nothing is guessed. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

enum value_type {
    VALUE_TEXT,   /* char *, owned by the struct; one line, 1 to `most` characters */
    VALUE_COUNT,  /* int, a whole number from `least` to `most` */
    VALUE_NUMBER, /* double from `least` to `most` */
    VALUE_CHOICE, /* int or enum: the index of the word in `choices` */
};

struct value_rule {
    enum value_type type;
    size_t offset; /* in the struct that is filled */
    double least, most;
    bool in_thousands;          /* usually some thousands: "4.200" and "4,200" are slips for 4200 */
    const char *unit;           /* "mm"; NULL for counts, texts and choices */
    const char *const *choices; /* ends with NULL; VALUE_CHOICE only */
    const char *help;           /* what it is, one line, with unit and default */
};

/* Reads `text` by `rule` into the struct at `target`. `key` is the name for messages. On false the target is untouched.
 * A text that was there before is freed. */
bool value_set(void *target, const char *key, const struct value_rule *rule, const char *text,
               const struct place *where, struct err *err) MUST_CHECK;

/* The number of `text` when it is plain and within the rule, whatever the rule's type. `decimal_mark` is '.' or ',', or
 * '\0' where neither is settled: points are then read, and of a comma is told what it may mean. */
bool value_number(const char *key, const struct value_rule *rule, const char *text, char decimal_mark,
                  const struct place *where, double *out, struct err *err) MUST_CHECK;

/* The decimal mark of a number, '.' or ','; '\0' for anything else, and where it may stand between thousands ("4,200",
 * "12.500"; not "0,200" or "4,2000"). */
char value_decimal_mark(const char *text);

#endif
