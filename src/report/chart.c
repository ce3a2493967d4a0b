/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/chart.h"

#include "base/absent.h"
#include "base/memory.h"
#include "report/clean.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct chart *chart_new(void)
{
    return memory_new(1, sizeof(struct chart));
}

void chart_free(struct chart *chart)
{
    if (!chart)
        return;
    for (size_t i = 0; i < chart->series_count; i++)
        free(chart->series[i].items);
    free(chart->series);
    free(chart->combs);
    free(chart->remarks);
    scale_clear(&chart->x);
    scale_clear(&chart->y);
    free(chart);
}

void chart_axes(struct chart *chart, enum scale_kind x, const char *x_label, const char *y_label)
{
    if (!chart)
        return;
    chart->x.kind = x;
    chart->x.low = x == SCALE_FREQUENCY ? 20 : 0;
    chart->x.high = x == SCALE_FREQUENCY ? 20000 : 1;
    chart->y.kind = SCALE_LINEAR;
    chart->y.high = 1;
    snprintf(chart->x.label, sizeof chart->x.label, "%s", x_label);
    snprintf(chart->y.label, sizeof chart->y.label, "%s", y_label);
}

void chart_series(struct chart *chart, enum series_kind kind, size_t look, const char *name)
{
    if (!chart || chart->failed)
        return;
    void *series = chart->series;
    if (!memory_grow(&series, &chart->series_capacity, chart->series_count + 1, sizeof *chart->series)) {
        chart->failed = true;
        return;
    }
    chart->series = series;
    struct series *added = &chart->series[chart->series_count++];
    *added = (struct series){ .kind = kind, .look = look };
    clean_copy(added->name, sizeof added->name, name, sizeof added->name);
}

void chart_add(struct chart *chart, struct datum datum)
{
    if (!chart || chart->failed || chart->series_count == 0)
        return;
    struct series *series = &chart->series[chart->series_count - 1];
    void *items = series->items;
    if (!memory_grow(&items, &series->capacity, series->count + 1, sizeof *series->items)) {
        chart->failed = true;
        return;
    }
    series->items = items;
    series->items[series->count++] = datum;
}

void chart_add_name(struct chart *chart, const char *name)
{
    if (chart && !scale_add_name(&chart->x, name))
        chart->failed = true;
}

struct comb *chart_comb(struct chart *chart, size_t look, const char *name)
{
    if (!chart || chart->failed)
        return NULL;
    void *combs = chart->combs;
    if (!memory_grow(&combs, &chart->comb_capacity, chart->comb_count + 1, sizeof *chart->combs)) {
        chart->failed = true;
        return NULL;
    }
    chart->combs = combs;
    struct comb *comb = &chart->combs[chart->comb_count++];
    *comb = (struct comb){ .look = look };
    clean_copy(comb->name, sizeof comb->name, name, sizeof comb->name);
    return comb;
}

void chart_remark(struct chart *chart, double x, double y, const char *text)
{
    if (!chart || chart->failed || !isfinite(x) || !isfinite(y))
        return;
    void *remarks = chart->remarks;
    if (!memory_grow(&remarks, &chart->remark_capacity, chart->remark_count + 1, sizeof *chart->remarks)) {
        chart->failed = true;
        return;
    }
    chart->remarks = remarks;
    struct remark *remark = &chart->remarks[chart->remark_count++];
    *remark = (struct remark){ .x = x, .y = y };
    clean_copy(remark->text, sizeof remark->text, text, sizeof remark->text);
}

void chart_shade(struct chart *chart, double low, double middle, double high, const char *name)
{
    if (!chart || chart->shade_count == SHADES_MAX || !isfinite(low) || !isfinite(high))
        return;
    chart->shades[chart->shade_count++] = (struct shade){ low, middle, high };
    snprintf(chart->shade_name, sizeof chart->shade_name, "%s", name);
}

static void widen(double value, double *low, double *high)
{
    if (!isfinite(value))
        return;
    *low = fmin(*low, value);
    *high = fmax(*high, value);
}

void chart_fit_y(struct chart *chart, double least, bool from_zero)
{
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (size_t i = 0; chart && i < chart->series_count; i++)
        for (size_t k = 0; k < chart->series[i].count; k++) {
            const struct datum *datum = &chart->series[i].items[k];
            widen(datum->y, &low, &high);
            widen(datum->low, &low, &high);
            widen(datum->high, &low, &high);
        }
    if (!chart || low > high)
        return;
    if (from_zero)
        widen(0, &low, &high);
    scale_fit(&chart->y, low, high, least);
}

void chart_fit_x(struct chart *chart, double margin)
{
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (size_t i = 0; chart && i < chart->series_count; i++)
        for (size_t k = 0; k < chart->series[i].count; k++)
            widen(chart->series[i].items[k].x, &low, &high);
    if (!chart || low > high)
        return;
    double room = high > low ? (high - low) * margin : fmax(fabs(low) * 0.05, 0.5);
    chart->x.low = low - room;
    chart->x.high = high + room;
}

bool chart_is_empty(const struct chart *chart)
{
    for (size_t i = 0; chart && i < chart->series_count; i++)
        for (size_t k = 0; k < chart->series[i].count; k++)
            if (isfinite(chart->series[i].items[k].y) || isfinite(chart->series[i].items[k].low))
                return false;
    return true;
}
