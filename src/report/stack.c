/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/stack.h"

#include "base/absent.h"
#include "base/memory.h"
#include "report/clean.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ROW_PT 15.0

static const struct lettering letters = { 7, false, false, { 0.20, 0.22, 0.25 }, ALIGN_LEFT };

/* Fills for the parts: the accent and greys apart in lightness, each with a hatch of its own. */
static const struct {
    struct colour colour;
    enum hatch hatch;
} fills[STACK_PARTS_MAX] = {
    { { 0.04, 0.38, 0.42 }, HATCH_SOLID },   { { 0.82, 0.33, 0.08 }, HATCH_RISING },
    { { 0.35, 0.37, 0.40 }, HATCH_CROSSED }, { { 0.62, 0.66, 0.70 }, HATCH_EMPTY },
    { { 0.53, 0.36, 0.62 }, HATCH_LEVEL },   { { 0.90, 0.66, 0.12 }, HATCH_FALLING },
};

struct stack *stack_new(const char *axis_label)
{
    struct stack *stack = memory_new(1, sizeof *stack);
    if (stack)
        snprintf(stack->axis_label, sizeof stack->axis_label, "%s", axis_label);
    return stack;
}

void stack_free(struct stack *stack)
{
    if (!stack)
        return;
    free(stack->rows);
    free(stack);
}

void stack_add_part(struct stack *stack, const char *name)
{
    if (stack && stack->part_count < STACK_PARTS_MAX)
        snprintf(stack->part_names[stack->part_count++], sizeof *stack->part_names, "%s", name);
}

void stack_add_row(struct stack *stack, const char *name, const double *parts_pct)
{
    if (!stack || stack->failed)
        return;
    void *rows = stack->rows;
    if (!memory_grow(&rows, &stack->row_capacity, stack->row_count + 1, sizeof *stack->rows)) {
        stack->failed = true;
        return;
    }
    stack->rows = rows;
    struct stack_row *row = &stack->rows[stack->row_count++];
    clean_copy(row->name, sizeof row->name, name, sizeof row->name);
    memcpy(row->parts_pct, parts_pct, stack->part_count * sizeof *parts_pct);
}

double stack_height(const struct stack *stack)
{
    return stack ? 18 + ROW_PT * (double)stack->row_count + 26 : 0;
}

static double draw_key(struct pen *pen, const struct stack *stack)
{
    double x = 0;
    for (size_t i = 0; i < stack->part_count; i++) {
        pen_bar(pen, x, 2, 12, 7, fills[i].colour, fills[i].hatch);
        pen_text(pen, x + 16, 8.4, stack->part_names[i], &letters);
        x += 16 + pen_width(pen, stack->part_names[i], &letters) + 14;
    }
    return 18;
}

static void draw_axis(struct pen *pen, const struct stack *stack, double left, double width, double top, double bottom)
{
    struct lettering centred = letters;
    centred.align = ALIGN_CENTRE;
    for (int percent = 0; percent <= 100; percent += 20) {
        char text[8];
        double x = left + width * percent / 100;
        snprintf(text, sizeof text, "%d", percent);
        pen_line(pen, x, top, x, bottom + 2, style_grid, 0.5);
        pen_text(pen, x, bottom + 10, text, &centred);
    }
    pen_text(pen, left + width / 2, bottom + 21, stack->axis_label, &centred);
}

static void draw_row(struct pen *pen, const struct stack *stack, const struct stack_row *row, double left, double width,
                     double top)
{
    struct lettering inside = letters;
    inside.align = ALIGN_CENTRE;
    inside.size_pt = 6.4;
    double at = left;
    for (size_t i = 0; i < stack->part_count; i++) {
        if (!is_given(row->parts_pct[i]) || row->parts_pct[i] <= 0)
            continue;
        double part = width * fmin(row->parts_pct[i], 100) / 100;
        pen_bar(pen, at, top, part, ROW_PT - 5, fills[i].colour, fills[i].hatch);
        char text[16];
        snprintf(text, sizeof text, "%.0f %%", row->parts_pct[i]);
        double text_width = pen_width(pen, text, &inside);
        if (text_width + 6 < part) {
            bool is_dark = fills[i].hatch == HATCH_SOLID;
            if (!is_dark)
                pen_fill(pen, at + part / 2 - text_width / 2 - 2, top + 1.2, text_width + 4, ROW_PT - 7.4, style_paper,
                         0.92);
            inside.colour = is_dark ? style_paper : style_ink;
            pen_text(pen, at + part / 2, top + 7.5, text, &inside);
        }
        at += part;
    }
}

void stack_draw(struct pen *pen, const struct stack *stack, double width, double height)
{
    double left = 0, top = draw_key(pen, stack);
    for (size_t i = 0; i < stack->row_count; i++)
        left = fmax(left, pen_width(pen, stack->rows[i].name, &letters));
    left = fmin(left, width * 0.4) + 8;
    double inner = width - left - 12, bottom = fmin(top + ROW_PT * (double)stack->row_count, height - 26);
    draw_axis(pen, stack, left, inner, top, bottom);
    for (size_t i = 0; i < stack->row_count; i++) {
        double y = top + ROW_PT * (double)i;
        pen_text_cut(pen, 0, y + 8.2, left - 6, stack->rows[i].name, &letters);
        draw_row(pen, stack, &stack->rows[i], left, inner, y);
    }
}
