/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_CHART_H
#define THRUM_REPORT_CHART_H

/* What a chart shows, apart from how it is drawn (chart_draw.h). Built by the sections of the report, drawn by PDF and
 * HTML alike. Failure to get memory is sticky: `failed` is checked once. */

#include "report/scale.h"
#include "report/style.h"

#include <stdbool.h>
#include <stddef.h>

enum series_kind {
    SERIES_LINE,   /* joined; an absent y breaks the line */
    SERIES_POINTS, /* markers, with whiskers from low to high where these are given */
    SERIES_BAND,   /* filled between low and high */
    SERIES_BARS,   /* beside each other in a category, from the axis' low end or from zero */
};

struct datum {
    double x, y;
    double low, high; /* ABSENT: none */
    bool is_open;     /* doubtful: an open marker */
    bool is_bound;    /* at most this: an arrow down */
};

struct series {
    enum series_kind kind;
    size_t look;
    char name[200]; /* in the legend; empty: not there */
    bool is_thin;
    bool is_marked; /* a line with its marker here and there, to be followed in a grey print */
    struct datum *items;
    size_t count, capacity;
};

/* Frequencies marked in a row above the plot, with their numbers, and faintly down into it. */
#define COMB_MAX 24
struct comb {
    size_t look;
    char name[SCALE_NAME_MAX];
    struct {
        double hz;
        int number;
        bool is_found; /* false: expected, but nothing stands out there; drawn hollow */
    } teeth[COMB_MAX];
    size_t count;
};

#define SHADES_MAX 4
struct shade { /* a part of the x axis, over the whole height, with a line in it */
    double low, middle, high;
};

struct remark { /* a text at a point */
    double x, y;
    char text[64];
};

struct chart {
    struct scale x, y;
    struct series *series;
    size_t series_count, series_capacity;
    struct comb *combs;
    size_t comb_count, comb_capacity;
    struct remark *remarks;
    size_t remark_count, remark_capacity;
    struct shade shades[SHADES_MAX];
    size_t shade_count;
    char shade_name[64]; /* in the legend, for all of them */
    bool bars_from_zero;
    bool failed;
};

struct chart *chart_new(void); /* NULL when memory is out; all below take NULL and do nothing */
void chart_free(struct chart *chart);

void chart_axes(struct chart *chart, enum scale_kind x, const char *x_label, const char *y_label);
void chart_series(struct chart *chart, enum series_kind kind, size_t look, const char *name);
void chart_add(struct chart *chart, struct datum datum); /* to the last series */
void chart_add_name(struct chart *chart, const char *name);
struct comb *chart_comb(struct chart *chart, size_t look, const char *name); /* NULL when memory is out */
void chart_remark(struct chart *chart, double x, double y, const char *text);
void chart_shade(struct chart *chart, double low, double middle, double high, const char *name); /* no more than fit */

/* The y range from all that is finite in the series, at least `least` high; with `from_zero` it holds 0. */
void chart_fit_y(struct chart *chart, double least, bool from_zero);
void chart_fit_x(struct chart *chart, double margin);

/* Whether anything at all is to be drawn. */
bool chart_is_empty(const struct chart *chart);

#endif
