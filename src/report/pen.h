/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_PEN_H
#define THRUM_REPORT_PEN_H

/* Text and simple shapes on a cairo context, the same on a PDF and an SVG surface: no hinting, so that a text is as
 * wide in one as in the other. All lengths in points, y downwards. Borrows the context; one thread. */

#include "report/style.h"

#include <cairo.h>
#include <pango/pango.h>
#include <stdbool.h>

struct pen {
    cairo_t *cairo;
    PangoLayout *layout; /* owned */
};

enum align { ALIGN_LEFT, ALIGN_CENTRE, ALIGN_RIGHT };

struct lettering {
    double size_pt;
    bool is_bold, is_slanted;
    struct colour colour;
    enum align align;
};

void pen_init(struct pen *pen, cairo_t *cairo);
void pen_clear(struct pen *pen);

double pen_width(struct pen *pen, const char *text, const struct lettering *lettering);

/* Whether a letter has no font here, and would be drawn as a box. */
bool pen_lacks_letters(struct pen *pen, const char *text, const struct lettering *lettering);

/* One line whose baseline is at y; x is its left, middle or right by the alignment. */
void pen_text(struct pen *pen, double x, double y, const char *text, const struct lettering *lettering);

/* The same turned a quarter to the left around (x, y), for the axis upwards. */
void pen_text_upwards(struct pen *pen, double x, double y, const char *text, const struct lettering *lettering);

/* One line cut with an ellipsis to `width`. */
void pen_text_cut(struct pen *pen, double x, double y, double width, const char *text,
                  const struct lettering *lettering);

/* A paragraph broken to `width` with its top at y; returns its height. Without `is_drawn` only measures. */
double pen_paragraph(struct pen *pen, double x, double y, double width, const char *text,
                     const struct lettering *lettering, bool is_drawn);

void pen_colour(struct pen *pen, struct colour colour, double opacity);
void pen_line(struct pen *pen, double x0, double y0, double x1, double y1, struct colour colour, double width);
void pen_fill(struct pen *pen, double x, double y, double width, double height, struct colour colour, double opacity);

/* A bar with a look's colour and hatch. */
void pen_bar(struct pen *pen, double x, double y, double width, double height, struct colour colour, enum hatch hatch);

/* A marker with its middle at (x, y); `is_open` leaves it unfilled. */
void pen_marker(struct pen *pen, double x, double y, double size, const struct look *look, bool is_open);

#endif
