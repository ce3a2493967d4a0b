/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Allocations of the report's own code fail, one at a time (the linker's --wrap; cairo, pango and jansson keep their
 * own): each time the writer says that memory is out, or the output is whole. Leaks are the sanitizers' matter. */

#include "tap.h"

#include "fixture.h"
#include "report/csv.h"
#include "report/html.h"
#include "report/pdf.h"
#include "report/report.h"
#include "report/sections.h"

#include <stddef.h>

#ifndef EACH /* 1 in so many of the later allocations; large: all of them */
#define EACH 4
#endif

static long allocation_count, failing; /* the one that fails, from 1; 0: none */

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);

static bool fails(void)
{
    return ++allocation_count == failing;
}

void *__wrap_malloc(size_t size)
{
    return fails() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size)
{
    return fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return fails() ? NULL : __real_realloc(block, size);
}

typedef bool (*writer)(const struct results *results, const struct document *document, struct text *out,
                       struct err *err);

static bool write_pdf(const struct results *results, const struct document *document, struct text *out, struct err *err)
{
    (void)results;
    return pdf_compose(document, out, err);
}

static bool write_html(const struct results *results, const struct document *document, struct text *out,
                       struct err *err)
{
    (void)results;
    return html_compose(document, out, err);
}

static bool write_json(const struct results *results, const struct document *document, struct text *out,
                       struct err *err)
{
    (void)document;
    return report_json(results, out, err);
}

static bool write_csv(const struct results *results, const struct document *document, struct text *out, struct err *err)
{
    (void)document;
    csv_tones(results, out);
    return out->failed ? err_memory(err) : true;
}

static bool write_terminal(const struct results *results, const struct document *document, struct text *out,
                           struct err *err)
{
    (void)document;
    report_terminal(results, out);
    return out->failed ? err_memory(err) : true;
}

/* All that a document says, so that nothing can be lost without a word. */
static void add_texts(const struct document *document, struct text *out)
{
    for (size_t i = 0; i < document->count; i++) {
        const struct block *block = &document->items[i];
        text_add(out, block->text);
        for (size_t r = 0; block->table && r < block->table->row_count; r++)
            for (size_t c = 0; c < block->table->rows[r].count; c++)
                text_add(out, block->table->rows[r].cells[c].text);
        for (size_t s = 0; block->figure.chart && s < block->figure.chart->series_count; s++)
            text_addf(out, "%s %zu", block->figure.chart->series[s].name, block->figure.chart->series[s].count);
    }
}

static bool make_document(const struct results *results, const struct document *document, struct text *out,
                          struct err *err)
{
    struct document made;
    (void)document;
    bool ok = document_make(results, &made, err);
    failing = 0;
    if (ok) {
        long counted = allocation_count;
        add_texts(&made, out);
        allocation_count = counted;
        document_clear(&made);
    }
    return ok;
}

/* The first allocations one by one, then ever fewer of the later ones. */
static long next_failing(long at)
{
    return at < 16 ? at + 1 : at + at / EACH + 1;
}

static void fail_each(writer write, const char *name, const struct results *results, const struct document *document)
{
    struct text whole = { 0 };
    struct err err;
    failing = allocation_count = 0;
    bool ok = write(results, document, &whole, &err);
    long count = allocation_count, tried_count = 0, wrong_count = 0;
    for (long at = 1; ok && at <= count; at = next_failing(at)) {
        struct text out = { 0 };
        err = (struct err){ ERR_NONE };
        allocation_count = 0;
        failing = at;
        bool written = write(results, document, &out, &err);
        failing = 0;
        bool is_whole =
            out.length == whole.length && (out.length == 0 || memcmp(out.data, whole.data, out.length) == 0);
        wrong_count += written ? !is_whole : err.kind != ERR_MEMORY;
        tried_count++;
        text_clear(&out);
    }
    tap_ok(ok && count > 0 && tried_count > 0 && wrong_count == 0,
           "%s: %ld of %ld allocations failed in turn, %ld without a word", name, tried_count, count, wrong_count);
    text_clear(&whole);
}

int main(void)
{
    static const struct {
        const char *name;
        writer write;
    } writers[] = { { "document", make_document }, { "PDF", write_pdf }, { "HTML", write_html },
                    { "JSON", write_json },        { "CSV", write_csv }, { "terminal", write_terminal } };
    struct fixture fixture;
    struct document document;
    struct err err;
    fixture_make(&fixture, FIXTURE_RICH);
    if (!tap_ok(document_make(&fixture.results, &document, &err), "a document is made"))
        return tap_done();
    for (size_t i = 0; i < sizeof writers / sizeof *writers; i++)
        fail_each(writers[i].write, writers[i].name, &fixture.results, &document);
    document_clear(&document);
    fixture_clear(&fixture);
    return tap_done();
}
