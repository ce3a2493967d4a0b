/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_DEMO_PROGRAMS_H
#define THRUM_TESTS_DEMO_PROGRAMS_H

/* Running a program from a test, and reading what it wrote. */

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

/* Runs argv[0] with `argv` (NULL-terminated), its standard output thrown away; its exit status, -1 when it did not
 * start or did not end by itself. */
int run_program(const char *const *argv);

/* folder/name in a buffer that the caller frees; never NULL (ends the test when memory is out). */
char *path_in(const char *folder, const char *name);

/* Whole file, owned by the caller; NULL when it can't be read. */
char *read_file(const char *folder, const char *name, size_t *size);

/* The object or array in folder/name; NULL with a line on standard error when it can't be read. */
json_t *read_json(const char *folder, const char *name);

/* Number of `key`; NaN where it is null, missing or no number. */
double member_number(const json_t *object, const char *key);
const char *member_text(const json_t *object, const char *key); /* "" where there is none */

#endif
