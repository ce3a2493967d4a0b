/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/pen.h"

#include "base/units.h"

#include <math.h>
#include <pango/pangocairo.h>
#include <string.h>

void pen_init(struct pen *pen, cairo_t *cairo)
{
    pen->cairo = cairo;
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    PangoContext *context = pango_cairo_create_context(cairo);
    pango_cairo_context_set_font_options(context, options);
    pango_cairo_context_set_resolution(context, 72);
    pango_context_set_language(context, pango_language_from_string("en"));
    pango_context_set_round_glyph_positions(context, FALSE);
    pen->layout = pango_layout_new(context);
    g_object_unref(context);
    cairo_font_options_destroy(options);
}

void pen_clear(struct pen *pen)
{
    if (pen->layout)
        g_object_unref(pen->layout);
    *pen = (struct pen){ NULL, NULL };
}

static void set_text(struct pen *pen, const char *text, const struct lettering *lettering)
{
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family_static(font, STYLE_FONT);
    pango_font_description_set_size(font, (gint)lround(lettering->size_pt * PANGO_SCALE));
    pango_font_description_set_weight(font, lettering->is_bold ? PANGO_WEIGHT_SEMIBOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_style(font, lettering->is_slanted ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
    pango_layout_set_font_description(pen->layout, font);
    pango_font_description_free(font);
    pango_layout_set_width(pen->layout, -1);
    pango_layout_set_ellipsize(pen->layout, PANGO_ELLIPSIZE_NONE);
    pango_layout_set_alignment(pen->layout, PANGO_ALIGN_LEFT);
    pango_layout_set_attributes(pen->layout, NULL);
    pango_layout_set_text(pen->layout, text, -1);
}

/* No line ends between a slash and a letter: "rev/min" stays whole. */
static void keep_slashes(struct pen *pen, const char *text)
{
    PangoAttrList *list = pango_attr_list_new();
    for (const char *at = strchr(text, '/'); at; at = strchr(at + 1, '/')) {
        if (!g_ascii_isalnum(at[1]))
            continue;
        PangoAttribute *whole = pango_attr_allow_breaks_new(FALSE);
        whole->start_index = (guint)(at - text);
        whole->end_index = whole->start_index + 2;
        pango_attr_list_insert(list, whole);
    }
    pango_layout_set_attributes(pen->layout, list);
    pango_attr_list_unref(list);
}

static double layout_width(struct pen *pen)
{
    int width, height;
    pango_layout_get_size(pen->layout, &width, &height);
    return (double)width / PANGO_SCALE;
}

double pen_width(struct pen *pen, const char *text, const struct lettering *lettering)
{
    set_text(pen, text, lettering);
    return layout_width(pen);
}

bool pen_lacks_letters(struct pen *pen, const char *text, const struct lettering *lettering)
{
    set_text(pen, text, lettering);
    return pango_layout_get_unknown_glyphs_count(pen->layout) > 0;
}

static void show_line(struct pen *pen, double x, double y, const struct lettering *lettering)
{
    double width = layout_width(pen);
    double left = lettering->align == ALIGN_LEFT ? x : lettering->align == ALIGN_RIGHT ? x - width : x - width / 2;
    double baseline = (double)pango_layout_get_baseline(pen->layout) / PANGO_SCALE;
    pen_colour(pen, lettering->colour, 1);
    cairo_move_to(pen->cairo, left, y - baseline);
    pango_cairo_show_layout(pen->cairo, pen->layout);
    cairo_new_path(pen->cairo);
}

void pen_text(struct pen *pen, double x, double y, const char *text, const struct lettering *lettering)
{
    set_text(pen, text, lettering);
    show_line(pen, x, y, lettering);
}

void pen_text_upwards(struct pen *pen, double x, double y, const char *text, const struct lettering *lettering)
{
    cairo_save(pen->cairo);
    cairo_translate(pen->cairo, x, y);
    cairo_rotate(pen->cairo, -PI / 2);
    pen_text(pen, 0, 0, text, lettering);
    cairo_restore(pen->cairo);
}

void pen_text_cut(struct pen *pen, double x, double y, double width, const char *text,
                  const struct lettering *lettering)
{
    set_text(pen, text, lettering);
    pango_layout_set_width(pen->layout, (int)(width * PANGO_SCALE));
    pango_layout_set_ellipsize(pen->layout, PANGO_ELLIPSIZE_END);
    show_line(pen, x, y, lettering);
}

double pen_paragraph(struct pen *pen, double x, double y, double width, const char *text,
                     const struct lettering *lettering, bool is_drawn)
{
    set_text(pen, text, lettering);
    keep_slashes(pen, text);
    pango_layout_set_width(pen->layout, (int)(width * PANGO_SCALE));
    pango_layout_set_wrap(pen->layout, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_line_spacing(pen->layout, 1.0F);
    pango_layout_set_alignment(pen->layout, lettering->align == ALIGN_LEFT    ? PANGO_ALIGN_LEFT
                                            : lettering->align == ALIGN_RIGHT ? PANGO_ALIGN_RIGHT
                                                                              : PANGO_ALIGN_CENTER);
    int wide, high;
    pango_layout_get_size(pen->layout, &wide, &high);
    if (is_drawn) {
        pen_colour(pen, lettering->colour, 1);
        cairo_move_to(pen->cairo, x, y);
        pango_cairo_show_layout(pen->cairo, pen->layout);
        cairo_new_path(pen->cairo);
    }
    return (double)high / PANGO_SCALE;
}

void pen_colour(struct pen *pen, struct colour colour, double opacity)
{
    if (opacity >= 1)
        cairo_set_source_rgb(pen->cairo, colour.red, colour.green, colour.blue);
    else
        cairo_set_source_rgba(pen->cairo, colour.red, colour.green, colour.blue, opacity);
}

void pen_line(struct pen *pen, double x0, double y0, double x1, double y1, struct colour colour, double width)
{
    pen_colour(pen, colour, 1);
    cairo_set_line_width(pen->cairo, width);
    cairo_move_to(pen->cairo, x0, y0);
    cairo_line_to(pen->cairo, x1, y1);
    cairo_stroke(pen->cairo);
}

void pen_fill(struct pen *pen, double x, double y, double width, double height, struct colour colour, double opacity)
{
    pen_colour(pen, colour, opacity);
    cairo_rectangle(pen->cairo, x, y, width, height);
    cairo_fill(pen->cairo);
}

/* Lines at 45 degrees through the box, `gap` apart, of which only those that meet the box are drawn. */
static void slanted_lines(cairo_t *cairo, double x, double y, double width, double height, double gap, bool is_rising)
{
    for (double offset = gap / 2 - height; offset < width; offset += gap) {
        double from = fmax(offset, 0), to = fmin(offset + height, width);
        if (to <= from)
            continue;
        double y_from = from - offset, y_to = to - offset;
        cairo_move_to(cairo, x + from, is_rising ? y + height - y_from : y + y_from);
        cairo_line_to(cairo, x + to, is_rising ? y + height - y_to : y + y_to);
    }
}

void pen_bar(struct pen *pen, double x, double y, double width, double height, struct colour colour, enum hatch hatch)
{
    const double gap = 2.8;
    if (width <= 0 || height <= 0)
        return;
    double tint = hatch == HATCH_SOLID ? 1 : hatch == HATCH_EMPTY ? 0.18 : 0.3;
    pen_fill(pen, x, y, width, height, style_paper, 1);
    pen_fill(pen, x, y, width, height, colour, tint);
    pen_colour(pen, colour, 1);
    cairo_set_line_width(pen->cairo, 0.6);
    if (hatch == HATCH_RISING || hatch == HATCH_CROSSED)
        slanted_lines(pen->cairo, x, y, width, height, gap, true);
    if (hatch == HATCH_FALLING || hatch == HATCH_CROSSED)
        slanted_lines(pen->cairo, x, y, width, height, gap, false);
    if (hatch == HATCH_LEVEL)
        for (double at = gap / 2; at < height; at += gap) {
            cairo_move_to(pen->cairo, x, y + at);
            cairo_line_to(pen->cairo, x + width, y + at);
        }
    cairo_stroke(pen->cairo);
    cairo_set_line_width(pen->cairo, 0.5);
    cairo_rectangle(pen->cairo, x, y, width, height);
    cairo_stroke(pen->cairo);
}

static void marker_path(cairo_t *cairo, double x, double y, double r, enum marker marker)
{
    switch (marker) {
    case MARKER_CIRCLE:
        cairo_arc(cairo, x, y, r, 0, 2 * PI);
        break;
    case MARKER_SQUARE:
        cairo_rectangle(cairo, x - 0.9 * r, y - 0.9 * r, 1.8 * r, 1.8 * r);
        break;
    case MARKER_TRIANGLE:
        cairo_move_to(cairo, x, y - 1.15 * r);
        cairo_line_to(cairo, x + 1.1 * r, y + 0.8 * r);
        cairo_line_to(cairo, x - 1.1 * r, y + 0.8 * r);
        cairo_close_path(cairo);
        break;
    case MARKER_DIAMOND:
        cairo_move_to(cairo, x, y - 1.2 * r);
        cairo_line_to(cairo, x + 1.2 * r, y);
        cairo_line_to(cairo, x, y + 1.2 * r);
        cairo_line_to(cairo, x - 1.2 * r, y);
        cairo_close_path(cairo);
        break;
    case MARKER_CROSS:
        cairo_move_to(cairo, x - r, y - r);
        cairo_line_to(cairo, x + r, y + r);
        cairo_move_to(cairo, x - r, y + r);
        cairo_line_to(cairo, x + r, y - r);
        break;
    case MARKER_PLUS:
        cairo_move_to(cairo, x - r, y);
        cairo_line_to(cairo, x + r, y);
        cairo_move_to(cairo, x, y - r);
        cairo_line_to(cairo, x, y + r);
        break;
    }
}

void pen_marker(struct pen *pen, double x, double y, double size, const struct look *look, bool is_open)
{
    cairo_new_path(pen->cairo);
    marker_path(pen->cairo, x, y, size / 2, look->marker);
    pen_colour(pen, is_open ? style_paper : look->colour, 1);
    cairo_fill_preserve(pen->cairo);
    pen_colour(pen, look->colour, 1);
    cairo_set_line_width(pen->cairo, 1);
    cairo_stroke(pen->cairo);
}
