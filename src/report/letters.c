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

bool letters_are_lacking(const char *text)
{
    if (!text || is_ascii(text))
        return false;
    char *clean = clean_text(text, CLEAN_PARAGRAPH_MAX); /* as it is drawn */
    cairo_surface_t *surface = cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, NULL);
    cairo_t *cairo = cairo_create(surface);
    struct pen pen;
    pen_init(&pen, cairo);
    struct lettering letters = { .size_pt = 10 };
    bool is_lacking = clean && pen_lacks_letters(&pen, clean, &letters);
    pen_clear(&pen);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    free(clean);
    return is_lacking;
}

static bool lack_in_run(const struct run_result *run)
{
    bool is_lacking = letters_are_lacking(run->file) || letters_are_lacking(run->note);
    for (size_t i = 0; i < run->note_count; i++)
        is_lacking =
            is_lacking || letters_are_lacking(run->notes[i].value) || letters_are_lacking(run->notes[i].column);
    return is_lacking;
}

bool letters_lack_in_campaign(const struct results *results)
{
    const struct campaign *campaign = results->campaign;
    bool is_lacking = letters_are_lacking(campaign->title);
    for (size_t i = 0; i < campaign->variant_count; i++)
        is_lacking = is_lacking || letters_are_lacking(campaign->variants[i].name) ||
                     letters_are_lacking(campaign->variants[i].title);
    for (size_t i = 0; i < campaign->microphone_count; i++)
        is_lacking = is_lacking || letters_are_lacking(campaign->microphones[i].name);
    for (size_t i = 0; i < results->run_count; i++)
        is_lacking = is_lacking || lack_in_run(&results->runs[i]);
    return is_lacking;
}
