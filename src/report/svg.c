/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/svg.h"

#include "base/memory.h"
#include "report/clean.h"
#include "report/sheet.h"

#include <cairo-svg.h>
#include <stdlib.h>
#include <string.h>

/* Ids in the order in which they first appear; the new name is the number. */
struct names {
    struct {
        const char *start; /* in the SVG */
        size_t length;
    } * items;
    size_t count, capacity;
    bool failed;
};

static size_t number_of(struct names *names, const char *start, size_t length)
{
    for (size_t i = names->count; i-- > 0;)
        if (names->items[i].length == length && memcmp(names->items[i].start, start, length) == 0)
            return i + 1;
    void *items = names->items;
    if (!memory_grow(&items, &names->capacity, names->count + 1, sizeof *names->items)) {
        names->failed = true;
        return 0;
    }
    names->items = items;
    names->items[names->count].start = start;
    names->items[names->count++].length = length;
    return names->count;
}

/* The places where cairo writes an id: as one, in a link, in a paint or clip. */
static const struct {
    const char *before;
    char end;
} places[] = { { " id=\"", '"' }, { "href=\"#", '"' }, { "url(#", ')' } };

static void add_renamed(const char *svg, const char *prefix, struct names *names, struct text *out)
{
    const char *copied = svg;
    for (const char *at = svg; *at; at++) {
        for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
            size_t length = strlen(places[i].before);
            if (strncmp(at, places[i].before, length) != 0)
                continue;
            const char *id = at + length, *end = strchr(id, places[i].end);
            if (!end)
                continue;
            text_add_bytes(out, copied, (size_t)(id - copied));
            text_addf(out, "%s-%zu", prefix, number_of(names, id, (size_t)(end - id)));
            copied = at = end;
            break;
        }
    }
    text_add(out, copied);
}

bool svg_add_renamed(const char *svg, const char *prefix, const char *label, struct text *out, struct err *err)
{
    const char *start = strstr(svg, "<svg");
    const char *view = start ? strstr(start, "viewBox=\"") : NULL;
    const char *view_end = view ? strchr(view + 9, '"') : NULL;
    const char *body = start ? strchr(start, '>') : NULL;
    if (!view_end || !body || body < view_end)
        return err_set(err, ERR_INTERNAL, "a figure's SVG has no frame");
    struct names names = { 0 };
    text_add(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" ");
    text_add_bytes(out, view, (size_t)(view_end + 1 - view));
    text_add(out, " role=\"img\" aria-label=\"");
    clean_add_html(out, label);
    text_add(out, "\">");
    add_renamed(body + 1, prefix, &names, out);
    free(names.items);
    return !names.failed && !out->failed ? true : err_memory(err);
}

bool svg_add_figure(const struct figure *figure, const char *prefix, const char *label, struct text *out,
                    struct err *err)
{
    struct text svg = { 0 };
    struct pen pen;
    cairo_surface_t *surface =
        cairo_svg_surface_create_for_stream(sheet_take_bytes, &svg, DOCUMENT_WIDTH_PT, figure->height_pt);
    sheet_begin(surface, &pen);
    figure_draw(&pen, figure, DOCUMENT_WIDTH_PT, figure->height_pt);
    bool ok = sheet_end(surface, &pen, &svg, "a figure", err) && svg_add_renamed(svg.data, prefix, label, out, err);
    text_clear(&svg);
    return ok;
}
