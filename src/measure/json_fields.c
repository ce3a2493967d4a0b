/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/json_fields.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/num.h"
#include "campaign/text_check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

json_t *json_number(double value, int decimals)
{
    return isfinite(value) ? json_real(num_round(value, decimals)) : json_null();
}

json_t *json_text(const char *key, const char *text, struct err *err)
{
    json_t *value = json_string(text);
    if (value)
        return value;
    if (text_check(text, strlen(text), NULL, NULL))
        err_memory(err);
    else
        err_set(err, ERR_INTERNAL, "\"%s\" holds a text that is not UTF-8: %s", key, excerpt(text).text);
    return NULL;
}

/* NULL for a text sets `err`. */
static json_t *field_value(const void *member, const struct field *field, struct err *err)
{
    switch (field->kind) {
    case FIELD_NUMBER:
        return json_number(*(const double *)member, field->decimals);
    case FIELD_COUNT:
        return json_integer((json_int_t) * (const size_t *)member);
    case FIELD_INT:
        return json_integer(*(const int *)member);
    case FIELD_FLAG:
        return json_boolean(*(const bool *)member);
    case FIELD_BUFFER:
        return json_text(field->key, member, err);
    case FIELD_OWNED: {
        const char *text = *(char *const *)member;
        return text ? json_text(field->key, text, err) : json_null();
    }
    }
    return NULL;
}

bool json_fields_write(json_t *object, const void *record, const struct field_table *table, struct err *err)
{
    for (size_t i = 0; i < table->count; i++) {
        const struct field *field = &table->fields[i];
        struct err why = { 0 };
        json_t *value = field_value((const char *)record + field->offset, field, &why);
        if (!value || json_object_set_new(object, field->key, value) != 0) {
            if (why.kind == ERR_NONE)
                err_memory(&why);
            if (err)
                *err = why;
            return false;
        }
    }
    return true;
}

static bool wrong_type(const char *path, const char *where, const char *key, const char *want, struct err *err)
{
    return err_file(err, ERR_SYNTAX, path, "\"%s\" of %s is no %s; this file was not written by thrum measure --json",
                    key, where, want);
}

static bool read_field(const json_t *value, const char *path, const char *where, void *member,
                       const struct field *field, struct err *err)
{
    switch (field->kind) {
    case FIELD_NUMBER:
        if (!json_is_number(value) && !json_is_null(value))
            return wrong_type(path, where, field->key, "number", err);
        *(double *)member = json_is_null(value) ? ABSENT : json_number_value(value);
        return true;
    case FIELD_COUNT:
        if (!json_is_integer(value) || json_integer_value(value) < 0)
            return wrong_type(path, where, field->key, "count", err);
        *(size_t *)member = (size_t)json_integer_value(value);
        return true;
    case FIELD_INT:
        if (!json_is_integer(value) || llabs(json_integer_value(value)) > 1000000000)
            return wrong_type(path, where, field->key, "whole number", err);
        *(int *)member = (int)json_integer_value(value);
        return true;
    case FIELD_FLAG:
        if (!json_is_boolean(value))
            return wrong_type(path, where, field->key, "true or false", err);
        *(bool *)member = json_is_true(value);
        return true;
    case FIELD_BUFFER:
        if (!json_is_string(value) || json_string_length(value) >= field->size)
            return wrong_type(path, where, field->key, "text that fits", err);
        snprintf(member, field->size, "%s", json_string_value(value));
        return true;
    case FIELD_OWNED: {
        if (!json_is_string(value) && !json_is_null(value))
            return wrong_type(path, where, field->key, "text", err);
        char *copy = NULL;
        if (json_is_string(value) && !(copy = memory_copy_text(json_string_value(value))))
            return err_memory(err);
        free(*(char **)member);
        *(char **)member = copy;
        return true;
    }
    }
    return err_set(err, ERR_INTERNAL, "a field of no kind");
}

bool json_fields_read(const json_t *object, const char *path, const char *where, void *record,
                      const struct field_table *table, struct err *err)
{
    if (!json_is_object(object))
        return err_file(err, ERR_SYNTAX, path, "%s is no object; this file was not written by thrum measure --json",
                        where);
    for (size_t i = 0; i < table->count; i++) {
        const struct field *field = &table->fields[i];
        const json_t *value = json_object_get(object, field->key);
        if (value && !read_field(value, path, where, (char *)record + field->offset, field, err))
            return false;
    }
    return true;
}

json_t *json_numbers(const double *values, size_t count, int decimals)
{
    json_t *list = json_array();
    for (size_t i = 0; list && i < count; i++) {
        if (json_array_append_new(list, json_number(values[i], decimals)) != 0) {
            json_decref(list);
            return NULL;
        }
    }
    return list;
}

bool json_numbers_read(const json_t *list, const char *path, const char *where, double **out, size_t *count,
                       struct err *err)
{
    *out = NULL;
    *count = 0;
    if (!list || json_is_null(list))
        return true;
    if (!json_is_array(list))
        return wrong_type(path, where, "list", "list of numbers", err);
    size_t length = json_array_size(list);
    double *values = memory_new(length, sizeof *values);
    if (!values)
        return err_memory(err);
    for (size_t i = 0; i < length; i++) {
        const json_t *value = json_array_get(list, i);
        if (!json_is_number(value) && !json_is_null(value)) {
            free(values);
            return wrong_type(path, where, "list", "list of numbers", err);
        }
        values[i] = json_is_null(value) ? ABSENT : json_number_value(value);
    }
    *out = values;
    *count = length;
    return true;
}
