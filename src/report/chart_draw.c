/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/chart_draw.h"

#include "base/absent.h"

#include <math.h>
#include <stdio.h>

#define SMALL_PT 6.6
#define AXIS_PT 7.2
#define LEGEND_PT 7.4
#define COMB_ROW_PT 15.0
#define LEGEND_ROW_PT 12.0

static const struct lettering tick_letters = { SMALL_PT, false, false, { 0.28, 0.31, 0.34 }, ALIGN_CENTRE };
static const struct lettering axis_letters = { AXIS_PT, false, false, { 0.20, 0.22, 0.25 }, ALIGN_CENTRE };
static const struct lettering legend_letters = { LEGEND_PT, false, false, { 0.11, 0.13, 0.15 }, ALIGN_LEFT };

/* One sample of a series as the legend shows it, 22 pt wide. */
static void draw_sample(struct pen *pen, double x, double y, const struct series *series)
{
    struct look look = look_of(series->look);
    if (series->kind == SERIES_BARS) {
        pen_bar(pen, x + 4, y - 6.2, 14, 7, look.colour, look.hatch);
        return;
    }
    if (series->kind == SERIES_LINE) {
        cairo_save(pen->cairo);
        cairo_set_dash(pen->cairo, look.dash_pt, series->is_thin ? 0 : look.dash_count, 0);
        pen_line(pen, x, y - 2.6, x + 22, y - 2.6, look.colour, series->is_thin ? 0.9 : 1.4);
        cairo_restore(pen->cairo);
    }
    if (series->kind == SERIES_POINTS || series->is_marked)
        pen_marker(pen, x + 11, y - 2.6, series->is_marked ? 3.6 : 5, &look, false);
}

/* Faint, under everything else; the dashes show in a grey print too. */
static void draw_shade(struct pen *pen, double left, double middle, double right, double top, double bottom)
{
    pen_fill(pen, left, top, right - left, bottom - top, style_faint, 0.16);
    cairo_save(pen->cairo);
    cairo_set_dash(pen->cairo, (const double[]){ 3, 2 }, 2, 0);
    pen_line(pen, middle, top, middle, bottom, style_quiet, 0.5);
    cairo_restore(pen->cairo);
}

static void draw_shades(struct pen *pen, const struct plot *plot)
{
    const struct scale *axis = &plot->chart->x;
    for (size_t i = 0; i < plot->chart->shade_count; i++) {
        const struct shade *shade = &plot->chart->shades[i];
        if (shade->middle < axis->low || shade->middle > axis->high)
            continue;
        draw_shade(pen, plot_x(plot, fmax(shade->low, axis->low)), plot_x(plot, shade->middle),
                   plot_x(plot, fmin(shade->high, axis->high)), plot->box.y, plot->box.y + plot->box.height);
    }
}

/* Draws the legend in rows over the whole width; returns its height. Without `is_drawn` only measures. */
static double draw_legend(struct pen *pen, const struct chart *chart, double width, bool is_drawn)
{
    double x = 0, y = 8;
    size_t shown_count = 0;
    for (size_t i = 0; i <= chart->series_count; i++) {
        const struct series *series = i < chart->series_count ? &chart->series[i] : NULL;
        const char *name = series ? series->name : chart->shade_name;
        if (!name[0])
            continue;
        double text_width = fmin(pen_width(pen, name, &legend_letters), width - 30);
        if (x > 0 && x + 28 + text_width > width) {
            x = 0;
            y += LEGEND_ROW_PT;
        }
        if (is_drawn) {
            if (series)
                draw_sample(pen, x, y, series);
            else
                draw_shade(pen, x + 4, x + 11, x + 18, y - 7, y + 1.6);
            pen_text_cut(pen, x + 27, y, text_width + 1, name, &legend_letters);
        }
        x += 27 + text_width + 16;
        shown_count++;
    }
    return shown_count > 0 ? y + 6 : 2;
}

/* Ticks that get their labels: by rank, then from left to right, none nearer to another than a letter's width. */
static void choose_labels(struct pen *pen, const struct plot *plot, const struct ticks *ticks, bool *is_shown)
{
    struct placer placer;
    placer_init(&placer, (struct box){ -1e4, 0, 2e4, 10 });
    for (int rank = 0; rank <= 1; rank++) {
        bool chosen[TICKS_MAX] = { false };
        size_t fitting = 0, wanted = 0;
        struct placer trial = placer;
        for (size_t i = 0; i < ticks->count; i++) {
            if (ticks->items[i].rank != rank || !ticks->items[i].text[0])
                continue;
            double width = pen_width(pen, ticks->items[i].text, &tick_letters) + 3;
            struct box box = { plot_x(plot, ticks->items[i].value) - width / 2, 1, width, 8 };
            wanted++;
            if (!placer_is_free(&trial, box))
                continue;
            placer_take(&trial, box);
            chosen[i] = true;
            fitting++;
        }
        if (rank == 1 && fitting < wanted) /* all of the second rank or none, so that the row stays regular */
            break;
        placer = trial;
        for (size_t i = 0; i < ticks->count; i++)
            is_shown[i] = is_shown[i] || chosen[i];
    }
}

/* Categories whose names are too wide for their place stand in two rows, every other one lower. */
static bool is_staggered(struct pen *pen, const struct plot *plot)
{
    const struct scale *axis = &plot->chart->x;
    if (axis->kind != SCALE_CATEGORY)
        return false;
    double slot = plot->box.width / (axis->high - axis->low), widest = 0;
    for (size_t i = 0; i < axis->name_count; i++)
        widest = fmax(widest, pen_width(pen, axis->names[i], &tick_letters) + 3);
    return widest > slot && widest <= 2 * slot;
}

static void draw_x_axis(struct pen *pen, const struct plot *plot)
{
    struct ticks ticks;
    bool is_shown[TICKS_MAX] = { false };
    const struct box *box = &plot->box;
    double bottom = box->y + box->height;
    bool staggered = is_staggered(pen, plot);
    scale_ticks(&plot->chart->x, (int)(box->width / 48), &ticks);
    if (!staggered)
        choose_labels(pen, plot, &ticks, is_shown);
    for (size_t i = 0; i < ticks.count; i++) {
        double x = plot_x(plot, ticks.items[i].value), lower = staggered && i % 2 == 1 ? 8 : 0;
        if (plot->chart->x.kind != SCALE_CATEGORY) {
            pen_line(pen, x, box->y, x, bottom, style_grid, ticks.items[i].rank == 0 ? 0.5 : 0.25);
            pen_line(pen, x, bottom, x, bottom + (is_shown[i] ? 3 : 2), style_quiet, 0.6);
        } else if (lower > 0) {
            pen_line(pen, x, bottom + 2, x, bottom + 9, style_grid, 0.5);
        }
        if (is_shown[i] || staggered)
            pen_text(pen, x, bottom + 10.5 + lower, ticks.items[i].text, &tick_letters);
    }
    pen_line(pen, box->x, bottom, box->x + box->width, bottom, style_quiet, 0.7);
    pen_text(pen, box->x + box->width / 2, bottom + (staggered ? 29 : 21), plot->chart->x.label, &axis_letters);
}

static double widest_label(struct pen *pen, const struct ticks *ticks)
{
    double widest = 0;
    for (size_t i = 0; i < ticks->count; i++)
        widest = fmax(widest, pen_width(pen, ticks->items[i].text, &tick_letters));
    return widest;
}

static void draw_y_axis(struct pen *pen, const struct plot *plot, const struct ticks *ticks)
{
    struct lettering letters = tick_letters;
    letters.align = ALIGN_RIGHT;
    const struct box *box = &plot->box;
    for (size_t i = 0; i < ticks->count; i++) {
        double y = plot_y(plot, ticks->items[i].value);
        pen_line(pen, box->x, y, box->x + box->width, y, style_grid, 0.5);
        pen_text(pen, box->x - 4, y + 2.3, ticks->items[i].text, &letters);
    }
    if (plot->chart->bars_from_zero || plot->chart->y.low < 0)
        if (plot->chart->y.low <= 0 && plot->chart->y.high >= 0)
            pen_line(pen, box->x, plot_y(plot, 0), box->x + box->width, plot_y(plot, 0), style_quiet, 0.6);
    pen_text_upwards(pen, 8, box->y + box->height / 2, plot->chart->y.label, &axis_letters);
}

/* Faint, from a tooth down through the plot. */
static void draw_plumb(struct pen *pen, const struct plot *plot, double x, struct colour colour)
{
    cairo_save(pen->cairo);
    cairo_set_dash(pen->cairo, (const double[]){ 0.7, 2.8 }, 2, 0);
    pen_colour(pen, colour, 0.6);
    cairo_set_line_width(pen->cairo, 0.35);
    cairo_move_to(pen->cairo, x, plot->box.y);
    cairo_line_to(pen->cairo, x, plot->box.y + plot->box.height);
    cairo_stroke(pen->cairo);
    cairo_restore(pen->cairo);
}

/* A row of marks: the name at the left, a tooth with its number over it at each frequency, a faint line down into the
 * plot from those that are found and have room for their number. */
static void draw_comb(struct pen *pen, const struct plot *plot, const struct comb *comb, double y)
{
    struct look look = look_of(comb->look);
    struct lettering letters = tick_letters;
    struct placer placer;
    double foot = y + COMB_ROW_PT - 1;
    placer_init(&placer, (struct box){ plot->box.x - 6, 0, plot->box.width + 12, 12 });
    letters.colour = look.colour;
    letters.is_bold = true;
    pen_line(pen, plot->box.x, foot, plot->box.x + plot->box.width, foot, style_grid, 0.5);
    for (size_t i = 0; i < comb->count; i++) {
        bool is_found = comb->teeth[i].is_found;
        if (comb->teeth[i].hz < plot->chart->x.low || comb->teeth[i].hz > plot->chart->x.high)
            continue;
        double x = plot_x(plot, comb->teeth[i].hz);
        pen_line(pen, x, foot - 5, x, foot, look.colour, is_found ? 1.6 : 0.5);
        char number[8];
        snprintf(number, sizeof number, is_found ? "%d" : "(%d)", comb->teeth[i].number);
        double width = pen_width(pen, number, &letters);
        struct box box = { x - width / 2 - 1, 1, width + 2, 8 };
        if (!placer_is_free(&placer, box))
            continue;
        placer_take(&placer, box);
        pen_text(pen, x, foot - 6.5, number, &letters);
        if (is_found)
            draw_plumb(pen, plot, x, look.colour);
    }
    letters.align = ALIGN_RIGHT;
    letters.is_bold = false;
    pen_text_cut(pen, plot->box.x - 5, foot - 1, plot->box.x - 14, comb->name, &letters);
}

static void draw_remarks(struct pen *pen, const struct plot *plot)
{
    struct lettering letters = tick_letters;
    struct placer placer;
    placer_init(&placer, plot->box);
    for (size_t i = 0; i < plot->chart->remark_count; i++) {
        const struct remark *remark = &plot->chart->remarks[i];
        double x = plot_x(plot, remark->x), y = plot_y(plot, remark->y);
        placer_take(&placer, (struct box){ x - 1.5, y - 1.5, 3, 3 });
    }
    for (size_t i = 0; i < plot->chart->remark_count; i++) {
        const struct remark *remark = &plot->chart->remarks[i];
        double x = plot_x(plot, remark->x), y = plot_y(plot, remark->y);
        double width = pen_width(pen, remark->text, &tick_letters);
        struct box box;
        if (x < plot->box.x || x > plot->box.x + plot->box.width || y < plot->box.y ||
            y > plot->box.y + plot->box.height)
            continue;
        if (!placer_near(&placer, x, y, width + 2, 8, &box))
            continue;
        letters.colour = style_ink;
        if (fabs(y - (box.y + box.height)) > 10)
            pen_line(pen, x, y - 2, fmin(fmax(x, box.x), box.x + box.width), box.y + box.height, style_faint, 0.4);
        pen_fill(pen, box.x, box.y, box.width, box.height, style_paper, 0.75);
        pen_text(pen, box.x + box.width / 2, box.y + 6.4, remark->text, &letters);
    }
}

void chart_draw(struct pen *pen, const struct chart *chart, double width, double height)
{
    struct ticks y_ticks;
    double top = draw_legend(pen, chart, width, true);
    double combs = COMB_ROW_PT * (double)chart->comb_count;
    double gap = chart->comb_count > 0 ? 7 : 4;
    struct plot plot = { chart, { 0, top + combs + gap, width - 8, height - top - combs - gap - 25 } };
    scale_ticks(&chart->y, (int)(plot.box.height / 20), &y_ticks);
    plot.box.x = fmax(18 + widest_label(pen, &y_ticks), chart->comb_count > 0 ? 62 : 0);
    plot.box.width -= plot.box.x;
    plot.box.height -= is_staggered(pen, &plot) ? 8 : 0;
    if (plot.box.height < 20 || plot.box.width < 40)
        return;
    draw_shades(pen, &plot);
    draw_x_axis(pen, &plot);
    draw_y_axis(pen, &plot, &y_ticks);
    for (size_t i = 0; i < chart->comb_count; i++)
        draw_comb(pen, &plot, &chart->combs[i], top + COMB_ROW_PT * (double)i);
    plot_series(pen, &plot);
    draw_remarks(pen, &plot);
}
