/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/law.h"

#include "base/memory.h"

#include <math.h>
#include <stdlib.h>

static int by_value(const void *left, const void *right)
{
    const struct sample *a = left, *b = right;
    if (a->value < b->value || a->value > b->value)
        return a->value < b->value ? -1 : 1;
    return (a->run > b->run) - (a->run < b->run);
}

void samples_sort(struct sample *samples, size_t count)
{
    if (count > 1)
        qsort(samples, count, sizeof *samples, by_value);
}

size_t sample_group_end(const struct sample *sorted, size_t count, size_t start)
{
    size_t end = start + 1;
    while (end < count && sorted[end].value <= sorted[start].value * SAME_POINT_RATIO)
        end++;
    return end;
}

size_t sample_point_count(const struct sample *sorted, size_t count)
{
    size_t points = 0;
    for (size_t start = 0; start < count; start = sample_group_end(sorted, count, start))
        points++;
    return points;
}

void law_repeats(const struct sample *sorted, size_t count, const struct law *law, double *squares,
                 double *degrees_of_freedom)
{
    *squares = 0;
    *degrees_of_freedom = 0;
    for (size_t start = 0, end; start < count; start = end) {
        end = sample_group_end(sorted, count, start);
        double mean = 0, rest[2] = { 0, 0 };
        for (size_t i = start; i < end; i++) {
            rest[0] = sorted[i].y - (law->is_fitted ? fit_value(&law->straight, log10(sorted[i].value)) : 0);
            mean += rest[0] / (double)(end - start);
        }
        for (size_t i = start; i < end; i++) {
            rest[1] = sorted[i].y - (law->is_fitted ? fit_value(&law->straight, log10(sorted[i].value)) : 0) - mean;
            *squares += rest[1] * rest[1];
        }
        *degrees_of_freedom += (double)(end - start - 1);
    }
}

void law_weigh(struct law *law, double curve_weight)
{
    law->curve_weight = curve_weight;
    law->chosen = fit_between(&law->straight, &law->curved, curve_weight);
}

double law_doubt(const struct law *law, double x)
{
    return sqrt(1 - law->curve_weight) * (fit_value(&law->curved, x) - fit_value(&law->straight, x));
}

bool law_fit(const struct sample *sorted, size_t count, struct law *out, struct err *err)
{
    struct law law = { 0 };
    size_t points = sample_point_count(sorted, count);
    if (points < 3) {
        *out = law;
        return true;
    }
    double *x = memory_new(count, sizeof *x), *y = memory_new(count, sizeof *y);
    bool fitted = x && y;
    if (!fitted)
        err_memory(err);
    for (size_t i = 0; fitted && i < count; i++) {
        x[i] = log10(sorted[i].value);
        y[i] = sorted[i].y;
    }
    fitted = fitted && fit_polynomial(x, y, count, 1, &law.straight, err) &&
             fit_polynomial(x, y, count, 2, &law.curved, err);
    free(x);
    free(y);
    if (!fitted)
        return false;
    law.is_fitted = true;
    law_weigh(&law, 0);
    *out = law;
    return true;
}
