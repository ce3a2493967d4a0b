/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_JSON_FIELDS_H
#define THRUM_MEASURE_JSON_FIELDS_H

/* A struct's members as keys of a JSON object, by one table for both directions, so that what is written can be read
 * back. Numbers are rounded to the decimals of their row. Absent numbers and silence are null; reading null gives
 * ABSENT. */

#include "base/err.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

enum field_kind {
    FIELD_NUMBER, /* double */
    FIELD_COUNT,  /* size_t */
    FIELD_INT,    /* int */
    FIELD_FLAG,   /* bool */
    FIELD_BUFFER, /* char[size] inside the struct */
    FIELD_OWNED,  /* char *, NULL is null */
};

struct field {
    const char *key;
    enum field_kind kind;
    size_t offset;
    size_t size;  /* FIELD_BUFFER */
    int decimals; /* FIELD_NUMBER */
};

struct field_table {
    const struct field *fields;
    size_t count;
};

#define FIELD_NUMBER_OF(type, member, name, digits)                                                                    \
    {                                                                                                                  \
        .key = (name), .kind = FIELD_NUMBER, .offset = offsetof(type, member), .decimals = (digits)                    \
    }
#define FIELD_OF(type, member, name, which)                                                                            \
    {                                                                                                                  \
        .key = (name), .kind = (which), .offset = offsetof(type, member), .size = sizeof(((type *)NULL)->member)       \
    }

/* A number or null. NULL when memory is out. */
json_t *json_number(double value, int decimals);

/* A text. NULL when memory is out, or it is not UTF-8: then `err` names it by its key and by what can be shown of it.
 */
json_t *json_text(const char *key, const char *text, struct err *err);

/* Adds the members of `record` to `object`. */
bool json_fields_write(json_t *object, const void *record, const struct field_table *table, struct err *err) MUST_CHECK;

/* Sets the members of `record` whose keys are there; a key of a wrong type is an error. `where` names the object. */
bool json_fields_read(const json_t *object, const char *path, const char *where, void *record,
                      const struct field_table *table, struct err *err) MUST_CHECK;

/* A list of numbers, owned; *count is 0 and *out NULL for an empty or missing list. */
json_t *json_numbers(const double *values, size_t count, int decimals);
bool json_numbers_read(const json_t *list, const char *path, const char *where, double **out, size_t *count,
                       struct err *err) MUST_CHECK;

#endif
