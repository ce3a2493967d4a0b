/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/letters.h"

#include "report/clean.h"
#include "report/pen.h"

#include <stdlib.h>

static bool is_ascii(const char *text)
{
    while (*text && (unsigned char)*text < 128)
        text++;
    return !*text;
}

/* As it would be drawn. */
static bool is_lacking(struct pen *pen, const char *text)
{
    static const struct lettering letters = { .size_pt = 10 };
    if (!text || is_ascii(text))
        return false;
    char *clean = clean_text(text, CLEAN_PARAGRAPH_MAX);
    bool lacks = clean && pen_lacks_letters(pen, clean, &letters);
    free(clean);
    return lacks;
}

static bool lack_in_run(struct pen *pen, const struct run_result *run)
{
    bool lacks = is_lacking(pen, run->file) || is_lacking(pen, run->note) || is_lacking(pen, run->gain_source);
    for (size_t i = 0; i < run->note_count && !lacks; i++)
        lacks = is_lacking(pen, run->notes[i].value) || is_lacking(pen, run->notes[i].column);
    return lacks;
}

static bool lack_in_variant(struct pen *pen, const struct variant *variant)
{
    bool lacks = is_lacking(pen, variant->name) || is_lacking(pen, variant->title);
    for (size_t i = 0; i < variant->bearing_count && !lacks; i++)
        lacks = is_lacking(pen, variant->bearings[i].name);
    return lacks;
}

static bool lack_in_campaign(struct pen *pen, const struct results *results)
{
    const struct campaign *campaign = results->campaign;
    bool lacks = is_lacking(pen, campaign->title);
    for (size_t i = 0; i < campaign->variant_count && !lacks; i++)
        lacks = lack_in_variant(pen, &campaign->variants[i]);
    for (size_t i = 0; i < campaign->microphone_count && !lacks; i++)
        lacks = is_lacking(pen, campaign->microphones[i].name);
    for (size_t i = 0; i < results->run_count && !lacks; i++)
        lacks = lack_in_run(pen, &results->runs[i]);
    return lacks;
}

bool letters_lack(const struct results *results)
{
    cairo_surface_t *surface = cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, NULL);
    cairo_t *cairo = cairo_create(surface);
    struct pen pen;
    pen_init(&pen, cairo);
    bool lacks = lack_in_campaign(&pen, results);
    pen_clear(&pen);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return lacks;
}
