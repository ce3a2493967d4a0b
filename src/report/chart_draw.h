/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_CHART_DRAW_H
#define THRUM_REPORT_CHART_DRAW_H

/* Draws a chart into the box (0, 0) to (width, height) of the pen's context: legend, rows of marks, grid, axes with
 * their labels, then the series. Nothing is drawn outside the box. */

#include "report/chart.h"
#include "report/pen.h"
#include "report/place.h"

struct plot { /* the inner box of a chart and its axes */
    const struct chart *chart;
    struct box box;
};

void chart_draw(struct pen *pen, const struct chart *chart, double width, double height);

/* The series alone, into the plot (chart_series.c). */
void plot_series(struct pen *pen, const struct plot *plot);
double plot_x(const struct plot *plot, double value);
double plot_y(const struct plot *plot, double value);

#endif
