/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sheet.h"

cairo_status_t sheet_take_bytes(void *text, const unsigned char *data, unsigned length)
{
    struct text *out = text;
    text_add_bytes(out, data, length);
    return CAIRO_STATUS_SUCCESS;
}

void sheet_begin(cairo_surface_t *surface, struct pen *pen)
{
    pen_init(pen, cairo_create(surface));
}

bool sheet_end(cairo_surface_t *surface, struct pen *pen, const struct text *text, const char *what, struct err *err)
{
    cairo_t *cairo = pen->cairo;
    pen_clear(pen);
    cairo_status_t status = cairo_status(cairo);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (text->failed || status == CAIRO_STATUS_NO_MEMORY)
        return err_memory(err);
    if (status != CAIRO_STATUS_SUCCESS)
        return err_set(err, ERR_INTERNAL, "%s cannot be drawn: %s", what, cairo_status_to_string(status));
    return true;
}
