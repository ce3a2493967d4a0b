/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_COLLECT_H
#define THRUM_COMPARE_COLLECT_H

/* Adding to `struct comparisons`: each returns a zeroed new item that the list owns, valid until the next is added, or
 * NULL when memory is out. */

#include "compare/compare.h"

struct comparison *collect_comparison(struct comparisons *list);
struct curve *collect_curve(struct comparisons *list);
struct budget_line *collect_budget_line(struct comparisons *list);
struct equal_level *collect_equal_level(struct comparisons *list);
struct contribution *collect_contribution(struct comparisons *list);
struct what_if *collect_what_if(struct comparisons *list);
bool collect_remark(struct comparisons *list, struct err *err, const char *format, ...) MUST_CHECK PRINTF_LIKE(3, 4);

/* Copies a name into a fixed field, cut where it does not fit. */
void collect_name(char *field, size_t size, const char *name);

#endif
