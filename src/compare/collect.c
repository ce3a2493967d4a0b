/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/collect.h"

#include "base/memory.h"
#include "base/text.h"

#include <stdarg.h>
#include <stdlib.h>

/* collect_NAME: makes room for one more item of a list and gives it. */
#define COLLECT(name, items, count, capacity)                                                                          \
    struct name *collect_##name(struct comparisons *list)                                                              \
    {                                                                                                                  \
        void *grown = list->items;                                                                                     \
        if (!memory_grow(&grown, &list->capacity, list->count + 1, sizeof *list->items))                               \
            return NULL;                                                                                               \
        list->items = grown;                                                                                           \
        return &list->items[list->count++];                                                                            \
    }

COLLECT(comparison, items, count, capacity)
COLLECT(curve, curves, curve_count, curve_capacity)
COLLECT(budget_line, budget, budget_count, budget_capacity)
COLLECT(equal_level, equal_levels, equal_level_count, equal_level_capacity)
COLLECT(contribution, contributions, contribution_count, contribution_capacity)
COLLECT(what_if, what_ifs, what_if_count, what_if_capacity)

bool collect_remark(struct comparisons *list, struct err *err, const char *format, ...)
{
    void *items = list->remarks;
    if (!memory_grow(&items, &list->remark_capacity, list->remark_count + 1, sizeof *list->remarks))
        return err_memory(err);
    list->remarks = items;
    struct text remark = { 0 };
    va_list args;
    va_start(args, format);
    text_add_args(&remark, format, args);
    va_end(args);
    if (remark.failed) {
        text_clear(&remark);
        return err_memory(err);
    }
    list->remarks[list->remark_count++] = remark.data;
    return true;
}

void collect_name(char *field, size_t size, const char *name)
{
    text_fit(field, size, "%s", name);
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
    for (size_t i = 0; i < comparisons->remark_count; i++)
        free(comparisons->remarks[i]);
    free(comparisons->remarks);
    *comparisons = (struct comparisons){ 0 };
}
