/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"
#include "report/clean.h"
#include "report/letters.h"
#include "report/sections.h"
#include "report/show.h"

/* "; pictures of microphone front, of slow5 of microphone below". */
static void add_microphones(const struct view *view, struct text *out)
{
    if (!view->has_many_microphones || !view->microphone)
        return;
    text_addf(out, "; figures and pictures of microphone %s", view->microphone);
    for (size_t v = 0; v < view_variant_count(view) && v < VIEW_VARIANTS_MAX; v++)
        if (view->run_microphone[v] && !view_is_of_runs(view, v, view->microphone))
            text_addf(out, ", of %s those of microphone %s", view_variant(view, v)->name, view->run_microphone[v]);
}

static void make_title(const struct view *view, struct document *document)
{
    const struct results *results = view->results;
    struct text subtitle = { 0 };
    document->title = clean_text(results->campaign->title, CLEAN_TITLE_MAX);
    document->date = clean_text(results->campaign->date, 40);
    text_addf(&subtitle, "Rotor noise report%s%s. %zu rotor%s, %zu run%s, %zu microphone%s. Levels in %s",
              document->date && document->date[0] ? ", " : "", document->date ? document->date : "",
              results->campaign->variant_count, results->campaign->variant_count == 1 ? "" : "s", results->run_count,
              results->run_count == 1 ? "" : "s", results->campaign->microphone_count,
              results->campaign->microphone_count == 1 ? "" : "s", show_level_unit(results));
    add_microphones(view, &subtitle);
    text_add(&subtitle, ".");
    document->subtitle = clean_text(subtitle.data, CLEAN_PARAGRAPH_MAX);
    document->failed = !document->title || !document->date || !document->subtitle || subtitle.failed;
    text_clear(&subtitle);
}

bool document_make(const struct results *results, struct document *out, struct err *err)
{
    static void (*const sections[])(const struct view *, struct document *) = {
        section_summary,     section_what_if,  section_bands,  section_spectra,  section_tones,    section_hearing,
        section_differences, section_findings, section_method, section_cautions, section_appendix,
    };
    struct view view;
    *out = (struct document){ 0 };
    view_make(results, &view);
    make_title(&view, out);
    if (letters_lack(results))
        document_add(
            out, BLOCK_WARNING,
            "The machine that made this report has no font for some letters of this campaign: they are boxes in "
            "the PDF and in pictures. The text of report.html has them right. With a font of that script "
            "installed (of Chinese, Japanese and Korean for instance the Debian package fonts-droid-fallback) "
            "the next report has them everywhere.");
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        sections[i](&view, out);
    if (!out->failed)
        return true;
    document_clear(out);
    return err_memory(err);
}
