/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_ERR_H
#define THRUM_BASE_ERR_H

/* Errors as values. Library code never prints, exits or aborts: it returns false (or NULL) and fills a `struct err`.
 * A message says what is wrong, the value, and after a semicolon what would be right; lower case, no full stop.
 * Reporting an error allocates nothing. */

#include <stdbool.h>
#include <stddef.h>

#define MUST_CHECK __attribute__((warn_unused_result))
#define PRINTF_LIKE(string, first) __attribute__((format(printf, string, first)))

enum err_kind {
    ERR_NONE = 0,
    ERR_USAGE,   /* the command line is wrong */
    ERR_SYNTAX,  /* a text file cannot be parsed */
    ERR_NAME,    /* a key, column, variant, microphone or option that is not known */
    ERR_RANGE,   /* a number is not a number, or out of range */
    ERR_MISSING, /* something needed is not there */
    ERR_FILE,    /* a file cannot be opened, read or written */
    ERR_AUDIO,   /* a recording cannot be used as one */
    ERR_MEMORY,  /* no memory, or a size that overflows */
    ERR_INTERNAL /* a library refused what should have worked: our bug */
};

/* A place in a text file; `file` is borrowed, line and column count from 1, 0 for "not known". */
struct place {
    const char *file;
    int line, column;
};

struct err {
    enum err_kind kind;
    char file[512]; /* empty where no file is concerned */
    int line, column;
    char text[240];
};

/* Fills `err` (which may be NULL) and returns false, so that a function can end with `return err_set(...)`. */
bool err_set(struct err *err, enum err_kind kind, const char *format, ...) PRINTF_LIKE(3, 4);
bool err_at(struct err *err, enum err_kind kind, const struct place *place, const char *format, ...) PRINTF_LIKE(4, 5);
bool err_file(struct err *err, enum err_kind kind, const char *file, const char *format, ...) PRINTF_LIKE(4, 5);
bool err_memory(struct err *err);

/* "FILE:LINE:COLUMN: text" with the parts that are known; always terminated, cut to `size`. */
void err_format(const struct err *err, char *out, size_t size);

/* All mistakes of a file told at once: the first ERR_LIST_MAX are kept, `dropped` counts the rest. */
#define ERR_LIST_MAX 20
struct err_list {
    struct err items[ERR_LIST_MAX];
    size_t count, dropped;
};

void err_list_add(struct err_list *list, const struct err *err);
void err_list_at(struct err_list *list, enum err_kind kind, const struct place *place, const char *format, ...)
    PRINTF_LIKE(4, 5);

#endif
