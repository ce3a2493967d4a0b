/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/collect.h"

#include "base/memory.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

struct comparison *collect_comparison(struct comparisons *list)
{
    void *items = list->items;
    if (!memory_grow(&items, &list->capacity, list->count + 1, sizeof *list->items))
        return NULL;
    list->items = items;
    return &list->items[list->count++];
}

struct curve *collect_curve(struct comparisons *list)
{
    void *items = list->curves;
    if (!memory_grow(&items, &list->curve_capacity, list->curve_count + 1, sizeof *list->curves))
        return NULL;
    list->curves = items;
    return &list->curves[list->curve_count++];
}

struct budget_line *collect_budget_line(struct comparisons *list)
{
    void *items = list->budget;
    if (!memory_grow(&items, &list->budget_capacity, list->budget_count + 1, sizeof *list->budget))
        return NULL;
    list->budget = items;
    return &list->budget[list->budget_count++];
}

struct equal_level *collect_equal_level(struct comparisons *list)
{
    void *items = list->equal_levels;
    if (!memory_grow(&items, &list->equal_level_capacity, list->equal_level_count + 1, sizeof *list->equal_levels))
        return NULL;
    list->equal_levels = items;
    return &list->equal_levels[list->equal_level_count++];
}

struct contribution *collect_contribution(struct comparisons *list)
{
    void *items = list->contributions;
    if (!memory_grow(&items, &list->contribution_capacity, list->contribution_count + 1, sizeof *list->contributions))
        return NULL;
    list->contributions = items;
    return &list->contributions[list->contribution_count++];
}

struct what_if *collect_what_if(struct comparisons *list)
{
    void *items = list->what_ifs;
    if (!memory_grow(&items, &list->what_if_capacity, list->what_if_count + 1, sizeof *list->what_ifs))
        return NULL;
    list->what_ifs = items;
    return &list->what_ifs[list->what_if_count++];
}

bool collect_remark(struct comparisons *list, struct err *err, const char *format, ...)
{
    void *items = list->remarks;
    if (!memory_grow(&items, &list->remark_capacity, list->remark_count + 1, sizeof *list->remarks))
        return err_memory(err);
    list->remarks = items;
    va_list args;
    va_start(args, format);
    vsnprintf(list->remarks[list->remark_count++], sizeof *list->remarks, format, args);
    va_end(args);
    return true;
}

void collect_name(char *field, size_t size, const char *name)
{
    snprintf(field, size, "%s", name);
}

void comparisons_clear(struct comparisons *comparisons)
{
    for (size_t i = 0; i < comparisons->curve_count; i++) {
        free(comparisons->curves[i].points);
        free(comparisons->curves[i].fit);
    }
    free(comparisons->items);
    free(comparisons->curves);
    free(comparisons->budget);
    free(comparisons->equal_levels);
    free(comparisons->contributions);
    free(comparisons->what_ifs);
    free(comparisons->remarks);
    *comparisons = (struct comparisons){ 0 };
}
