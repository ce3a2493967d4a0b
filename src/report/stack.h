/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_STACK_H
#define THRUM_REPORT_STACK_H

/* Rows of stacked bars from 0 to 100 %: shares of a whole. */

#include "report/pen.h"

#include <stdbool.h>
#include <stddef.h>

#define STACK_PARTS_MAX 6

struct stack_row {
    char name[96];
    double parts_pct[STACK_PARTS_MAX];
};

struct stack {
    char axis_label[96];
    char part_names[STACK_PARTS_MAX][48];
    size_t part_count;
    struct stack_row *rows;
    size_t row_count, row_capacity;
    bool failed;
};

struct stack *stack_new(const char *axis_label); /* NULL when memory is out; all below take NULL and do nothing */
void stack_free(struct stack *stack);
void stack_add_part(struct stack *stack, const char *name);
void stack_add_row(struct stack *stack, const char *name, const double *parts_pct);
double stack_height(const struct stack *stack); /* that the drawing wants */
void stack_draw(struct pen *pen, const struct stack *stack, double width, double height);

#endif
