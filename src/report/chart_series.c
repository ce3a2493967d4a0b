/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/chart_draw.h"

#include "base/absent.h"

#include <math.h>

double plot_x(const struct plot *plot, double value)
{
    return plot->box.x + scale_place(&plot->chart->x, value) * plot->box.width;
}

double plot_y(const struct plot *plot, double value)
{
    return plot->box.y + (1 - scale_place(&plot->chart->y, value)) * plot->box.height;
}

static void draw_line(struct pen *pen, const struct plot *plot, const struct series *series)
{
    struct look look = look_of(series->look);
    bool is_down = false;
    cairo_save(pen->cairo);
    cairo_set_line_join(pen->cairo, CAIRO_LINE_JOIN_ROUND);
    cairo_new_path(pen->cairo);
    for (size_t i = 0; i < series->count; i++) {
        const struct datum *datum = &series->items[i];
        if (!isfinite(datum->y)) {
            is_down = false;
            continue;
        }
        double x = plot_x(plot, datum->x), y = plot_y(plot, datum->y);
        if (is_down)
            cairo_line_to(pen->cairo, x, y);
        else
            cairo_move_to(pen->cairo, x, y);
        is_down = true;
    }
    pen_colour(pen, look.colour, 1);
    cairo_set_line_width(pen->cairo, series->is_thin ? 0.7 : 1.4);
    if (!series->is_thin)
        cairo_set_dash(pen->cairo, look.dash_pt, look.dash_count, 0);
    cairo_stroke(pen->cairo);
    cairo_restore(pen->cairo);
}

#define MARKS_PER_LINE 7

/* Markers along a line, each line's a little further right than the last one's. */
static void draw_marks(struct pen *pen, const struct plot *plot, const struct series *series)
{
    struct look look = look_of(series->look);
    double phase = 0.2 + 0.3 * (double)(series->look % 3);
    int next = 0;
    for (size_t i = 0; i < series->count; i++) {
        const struct datum *datum = &series->items[i];
        double across = scale_place(&plot->chart->x, datum->x);
        if (!isfinite(datum->y) || across < (next + phase) / MARKS_PER_LINE || datum->y < plot->chart->y.low)
            continue;
        while ((next + phase) / MARKS_PER_LINE <= across)
            next++;
        pen_marker(pen, plot_x(plot, datum->x), plot_y(plot, datum->y), 3.6, &look, false);
    }
}

static void draw_band(struct pen *pen, const struct plot *plot, const struct series *series)
{
    bool is_down = false;
    cairo_new_path(pen->cairo);
    for (size_t i = 0; i < series->count; i++) {
        if (!isfinite(series->items[i].high) || !isfinite(series->items[i].low))
            continue;
        double x = plot_x(plot, series->items[i].x), y = plot_y(plot, series->items[i].high);
        if (is_down)
            cairo_line_to(pen->cairo, x, y);
        else
            cairo_move_to(pen->cairo, x, y);
        is_down = true;
    }
    if (!is_down)
        return;
    for (size_t i = series->count; i-- > 0;)
        if (isfinite(series->items[i].high) && isfinite(series->items[i].low))
            cairo_line_to(pen->cairo, plot_x(plot, series->items[i].x), plot_y(plot, series->items[i].low));
    cairo_close_path(pen->cairo);
    pen_colour(pen, look_of(series->look).colour, 0.14);
    cairo_fill(pen->cairo);
}

static void draw_whisker(struct pen *pen, const struct plot *plot, double x, const struct datum *datum,
                         struct colour colour)
{
    if (!isfinite(datum->low) || !isfinite(datum->high))
        return;
    double top = plot_y(plot, datum->high), bottom = plot_y(plot, datum->low);
    pen_line(pen, x, top, x, bottom, colour, 0.8);
    pen_line(pen, x - 1.6, top, x + 1.6, top, colour, 0.8);
    pen_line(pen, x - 1.6, bottom, x + 1.6, bottom, colour, 0.8);
}

static void draw_arrow_down(struct pen *pen, double x, double y, double length, struct colour colour)
{
    double head = fmin(length / 3, 2);
    pen_line(pen, x, y, x, y + length, colour, 0.7);
    pen_line(pen, x - head * 0.8, y + length - head * 1.2, x, y + length, colour, 0.7);
    pen_line(pen, x + head * 0.8, y + length - head * 1.2, x, y + length, colour, 0.7);
}

static void draw_points(struct pen *pen, const struct plot *plot, const struct series *series)
{
    struct look look = look_of(series->look);
    for (size_t i = 0; i < series->count; i++) {
        const struct datum *datum = &series->items[i];
        if (!isfinite(datum->y))
            continue;
        double x = plot_x(plot, datum->x), y = plot_y(plot, datum->y);
        draw_whisker(pen, plot, x, datum, look.colour);
        if (datum->is_bound)
            draw_arrow_down(pen, x, y, 9, look.colour);
        pen_marker(pen, x, y, series->is_thin ? 3 : 5, &look, datum->is_open);
    }
}

/* Where the bars of a series stand in their categories. */
struct bar_row {
    double offset, width, base; /* base: y of their feet */
};

/* Of the series that has `place` other series of bars before it, of `count` in all. */
static struct bar_row bar_row(const struct plot *plot, size_t place, size_t count)
{
    double slot = plot->box.width / (plot->chart->x.high - plot->chart->x.low);
    double width = slot * (count > 1 ? 0.84 : 0.6) / (double)count;
    return (struct bar_row){ width * ((double)place - (double)count / 2), width,
                             plot->chart->bars_from_zero ? plot_y(plot, 0) : plot->box.y + plot->box.height };
}

static void draw_bars(struct pen *pen, const struct plot *plot, const struct series *series, struct bar_row row)
{
    struct look look = look_of(series->look);
    for (size_t i = 0; i < series->count; i++) {
        const struct datum *datum = &series->items[i];
        if (!isfinite(datum->y))
            continue;
        double left = plot_x(plot, datum->x) + row.offset, top = plot_y(plot, datum->y);
        pen_bar(pen, left, fmin(top, row.base), row.width, fabs(row.base - top), look.colour, look.hatch);
        if (datum->is_bound)
            draw_arrow_down(pen, left + row.width / 2, fmin(top, row.base) - 6.5, 5.5, look.colour);
        else if (row.width > 3)
            draw_whisker(pen, plot, left + row.width / 2, datum, style_ink);
    }
}

/* The open markers, over the bars of all series. */
static void draw_bar_marks(struct pen *pen, const struct plot *plot, const struct series *series, struct bar_row row)
{
    struct look look = look_of(series->look);
    for (size_t i = 0; i < series->count; i++)
        if (isfinite(series->items[i].y) && series->items[i].is_open)
            pen_marker(pen, plot_x(plot, series->items[i].x) + row.offset + row.width / 2,
                       plot_y(plot, series->items[i].y), 3, &look, true);
}

void plot_series(struct pen *pen, const struct plot *plot)
{
    const struct chart *chart = plot->chart;
    size_t bar_count = 0, bar_place = 0;
    cairo_save(pen->cairo);
    cairo_rectangle(pen->cairo, plot->box.x - 4, plot->box.y - 4, plot->box.width + 8, plot->box.height + 4);
    cairo_clip(pen->cairo);
    for (size_t i = 0; i < chart->series_count; i++)
        bar_count += chart->series[i].kind == SERIES_BARS;
    for (size_t i = 0; i < chart->series_count; i++)
        if (chart->series[i].kind == SERIES_BAND)
            draw_band(pen, plot, &chart->series[i]);
    for (size_t i = 0; i < chart->series_count; i++) {
        switch (chart->series[i].kind) {
        case SERIES_BAND:
            break;
        case SERIES_LINE:
            draw_line(pen, plot, &chart->series[i]);
            if (chart->series[i].is_marked)
                draw_marks(pen, plot, &chart->series[i]);
            break;
        case SERIES_POINTS:
            draw_points(pen, plot, &chart->series[i]);
            break;
        case SERIES_BARS:
            draw_bars(pen, plot, &chart->series[i], bar_row(plot, bar_place++, bar_count));
            break;
        }
    }
    bar_place = 0;
    for (size_t i = 0; i < chart->series_count; i++)
        if (chart->series[i].kind == SERIES_BARS)
            draw_bar_marks(pen, plot, &chart->series[i], bar_row(plot, bar_place++, bar_count));
    cairo_restore(pen->cairo);
}
