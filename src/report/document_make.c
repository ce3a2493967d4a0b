/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/absent.h"
#include "report/clean.h"
#include "report/sections.h"
#include "report/show.h"

#include <stdio.h>

static void make_title(const struct view *view, struct document *document)
{
    const struct results *results = view->results;
    char subtitle[400];
    document->title = clean_text(results->campaign->title, CLEAN_TITLE_MAX);
    document->date = clean_text(results->campaign->date, 40);
    snprintf(subtitle, sizeof subtitle,
             "Rotor noise report%s%.40s. %zu rotor%s, %zu run%s, %zu microphone%s. Levels in %s%s%s.",
             document->date && document->date[0] ? ", " : "", document->date ? document->date : "",
             results->campaign->variant_count, results->campaign->variant_count == 1 ? "" : "s", results->run_count,
             results->run_count == 1 ? "" : "s", results->campaign->microphone_count,
             results->campaign->microphone_count == 1 ? "" : "s", show_level_unit(results),
             view->has_many_microphones && view->microphone ? "; pictures of microphone " : "",
             view->has_many_microphones && view->microphone ? view->microphone : "");
    document->subtitle = clean_text(subtitle, CLEAN_PARAGRAPH_MAX);
    document->failed = !document->title || !document->date || !document->subtitle;
}

bool document_make(const struct results *results, struct document *out, struct err *err)
{
    static void (*const sections[])(const struct view *, struct document *) = {
        section_summary,     section_bands, section_spectra,  section_tones,  section_hearing,
        section_differences, section_runs,  section_findings, section_method, section_cautions,
    };
    struct view view;
    *out = (struct document){ 0 };
    view_make(results, &view);
    make_title(&view, out);
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        sections[i](&view, out);
    if (!out->failed)
        return true;
    document_clear(out);
    return err_memory(err);
}
