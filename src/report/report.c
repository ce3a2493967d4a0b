/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report.h"

#include "base/files.h"
#include "report/csv.h"
#include "report/html.h"
#include "report/pdf.h"
#include "report/results_json.h"
#include "report/sections.h"

#include <stdlib.h>
#include <string.h>

#define FILE_COUNT 9

struct output {
    const char *name; /* under the folder */
    struct text content;
};

static int add_json(const char *bytes, size_t count, void *out)
{
    struct text *text = out;
    text_add_bytes(text, bytes, count);
    return text->failed ? -1 : 0;
}

/* Nine significant digits hold every rounded number as it was rounded: 63.2 is written as 63.2. */
bool report_json(const struct results *results, struct text *out, struct err *err)
{
    json_t *root = results_json(results, err);
    if (!root)
        return false;
    int status = json_dump_callback(root, add_json, out, JSON_INDENT(2) | JSON_REAL_PRECISION(9));
    json_decref(root);
    text_add(out, "\n");
    return status == 0 && !out->failed ? true : err_memory(err);
}

static struct text *next_output(struct output *outputs, size_t *count, const char *name)
{
    outputs[*count].name = name;
    return &outputs[(*count)++].content;
}

static bool compose_tables(const struct results *results, struct output *outputs, size_t *count, struct err *err)
{
    static const struct {
        const char *name;
        void (*add)(const struct results *results, struct text *out);
    } tables[] = {
        { "tables/levels.csv", csv_levels },
        { "tables/third-octave.csv", csv_third_octave },
        { "tables/tones.csv", csv_tones },
        { "tables/blade-passage.csv", csv_blade_passage },
        { "tables/comparisons.csv", csv_comparisons },
        { "tables/what-ifs.csv", csv_what_ifs },
    };
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        struct text *out = next_output(outputs, count, tables[i].name);
        tables[i].add(results, out);
        if (out->failed)
            return err_memory(err);
    }
    return true;
}

static bool compose(const struct results *results, const struct report_formats *formats, struct output *outputs,
                    size_t *count, struct err *err)
{
    struct document document = { 0 };
    bool ok = true;
    if (formats->pdf || formats->html)
        ok = document_make(results, &document, err);
    if (ok && formats->pdf)
        ok = pdf_compose(&document, next_output(outputs, count, "report.pdf"), err);
    if (ok && formats->html)
        ok = html_compose(&document, next_output(outputs, count, "report.html"), err);
    if (ok && formats->json)
        ok = report_json(results, next_output(outputs, count, "results.json"), err);
    if (ok && formats->csv)
        ok = compose_tables(results, outputs, count, err);
    document_clear(&document);
    return ok;
}

/* All of the report or nothing of it: an older one in the folder stays whole. */
static bool write_outputs(const char *folder, const struct output *outputs, size_t count, struct text *paths,
                          struct err *err)
{
    struct file_content files[FILE_COUNT];
    char *names[FILE_COUNT] = { NULL };
    bool ok = true;
    for (size_t i = 0; ok && i < count; i++) {
        ok = (names[i] = files_join(folder, outputs[i].name)) || err_memory(err);
        files[i] = (struct file_content){ names[i], outputs[i].content.data, outputs[i].content.length };
    }
    ok = ok && files_write_all(files, count, err);
    for (size_t i = 0; i < count; i++) {
        if (ok) {
            text_add(paths, names[i]);
            text_add(paths, "\n");
        }
        free(names[i]);
    }
    return ok;
}

static bool make_folders(const char *folder, bool has_tables, struct err *err)
{
    if (!has_tables)
        return files_make_folder(folder, err);
    char *tables = files_join(folder, "tables");
    bool ok = tables ? files_make_folder(tables, err) : err_memory(err);
    free(tables);
    return ok;
}

bool report_write(const struct results *results, const struct report_formats *formats, const char *folder,
                  struct text *paths, struct err *err)
{
    struct output outputs[FILE_COUNT] = { 0 };
    size_t count = 0;
    bool ok = compose(results, formats, outputs, &count, err);
    ok = ok && make_folders(folder, formats->csv, err);
    ok = ok && write_outputs(folder, outputs, count, paths, err);
    for (size_t i = 0; i < FILE_COUNT; i++)
        text_clear(&outputs[i].content);
    return ok;
}
