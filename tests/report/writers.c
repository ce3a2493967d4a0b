/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "base/files.h"
#include "fixture.h"
#include "report/report.h"
#include "report/svg.h"

#include <sys/stat.h>
#include <unistd.h>

static const char *const names[] = { "report.pdf",
                                     "report.html",
                                     "results.json",
                                     "tables/levels.csv",
                                     "tables/third-octave.csv",
                                     "tables/tones.csv",
                                     "tables/blade-passage.csv",
                                     "tables/comparisons.csv",
                                     "tables/what-ifs.csv" };
#define NAME_COUNT (sizeof names / sizeof *names)

static const struct report_formats all = { true, true, true, true };

struct contents {
    char *data[NAME_COUNT];
    size_t size[NAME_COUNT];
};

static void take(const char *folder, struct contents *out)
{
    for (size_t i = 0; i < NAME_COUNT; i++) {
        char *path = files_join(folder, names[i]);
        struct err err;
        out->data[i] = NULL;
        out->size[i] = 0;
        if (!files_read(path, 20000000, &out->data[i], &out->size[i], &err))
            printf("# %s: %s\n", path, err.text);
        unlink(path);
        free(path);
    }
}

static void release(struct contents *contents)
{
    for (size_t i = 0; i < NAME_COUNT; i++)
        free(contents->data[i]);
}

static bool write_and_take(enum fixture_kind kind, const char *folder, struct contents *out)
{
    struct fixture fixture;
    struct text paths = { 0 };
    struct err err;
    fixture_make(&fixture, kind);
    bool ok = report_write(&fixture.results, &all, folder, &paths, &err);
    if (!ok)
        printf("# %s\n", err.text);
    size_t line_count = 0;
    for (size_t i = 0; i < paths.length; i++)
        line_count += paths.data[i] == '\n';
    take(folder, out);
    text_clear(&paths);
    fixture_clear(&fixture);
    return ok && line_count == NAME_COUNT;
}

static void bytes_are_the_same_twice(const char *folder)
{
    struct contents first, second;
    bool ok = write_and_take(FIXTURE_RICH, folder, &first);
    ok = write_and_take(FIXTURE_RICH, folder, &second) && ok;
    tap_ok(ok, "all nine files are written and named");
    for (size_t i = 0; i < NAME_COUNT; i++)
        tap_ok(first.data[i] && second.data[i] && first.size[i] == second.size[i] && first.size[i] > 100 &&
                   memcmp(first.data[i], second.data[i], first.size[i]) == 0,
               "%s: the same %zu bytes twice in one process", names[i], first.size[i]);
    release(&first);
    release(&second);
}

/* Bytes of the original, when a file could not be written whole. */
static void nothing_is_half_written(const char *folder)
{
    struct fixture fixture;
    struct text paths = { 0 };
    struct err err;
    struct stat info;
    fixture_make(&fixture, FIXTURE_ONE_VARIANT);
    tap_ok(!report_write(&fixture.results, &all, "/proc/no/such/folder", &paths, &err) && err.kind == ERR_FILE,
           "a folder that can't be made: %s: %s", err.file, err.text);
    tap_ok(paths.length == 0, "and no path is named");
    char *in_the_way = files_join(folder, "tables"), *deep = files_join(folder, "report.pdf");
    tap_ok(files_write(in_the_way, "x", 1, &err), "a file where a folder should be");
    tap_ok(!report_write(&fixture.results, &all, folder, &paths, &err), "refused: %s", err.text);
    tap_ok(stat(deep, &info) != 0 && paths.length == 0, "nothing is written then");
    unlink(in_the_way);
    char *json = files_join(folder, "results.json"), *html = files_join(folder, "report.html");
    tap_ok(files_make_folder(json, &err) && !report_write(&fixture.results, &all, folder, &paths, &err),
           "a folder where results.json should be: %s", err.text);
    tap_ok(stat(deep, &info) != 0 && stat(html, &info) != 0 && paths.length == 0,
           "what was written before is taken back");
    tap_ok(rmdir(json) == 0 && rmdir(in_the_way) == 0, "no file is left");
    free(json);
    free(html);
    free(in_the_way);
    free(deep);
    text_clear(&paths);
    fixture_clear(&fixture);
}

static void formats_are_chosen(const char *folder)
{
    struct fixture fixture;
    struct text paths = { 0 };
    struct err err;
    fixture_make(&fixture, FIXTURE_ONE_VARIANT);
    tap_ok(report_write(&fixture.results, &(struct report_formats){ .json = true }, folder, &paths, &err),
           "JSON alone");
    tap_ok(paths.data && strstr(paths.data, "results.json\n") && strlen(strchr(paths.data, '\n')) == 1,
           "names one path");
    struct text json = { 0 };
    char *content = NULL, *path = files_join(folder, "results.json");
    size_t size = 0;
    tap_ok(report_json(&fixture.results, &json, &err) && files_read(path, 20000000, &content, &size, &err) &&
               size == json.length && memcmp(content, json.data, size) == 0,
           "the file is what is given to standard output");
    unlink(path);
    free(path);
    free(content);
    text_clear(&json);
    text_clear(&paths);
    fixture_clear(&fixture);
}

static size_t widest_line(const struct text *text)
{
    size_t widest = 0, columns = 0;
    for (size_t i = 0; i < text->length; i++) {
        columns = text->data[i] == '\n' ? 0 : columns + ((text->data[i] & 0xc0) != 0x80);
        widest = columns > widest ? columns : widest;
    }
    return widest;
}

static void terminal_is_narrow(enum fixture_kind kind)
{
    struct fixture fixture;
    struct text out = { 0 };
    fixture_make(&fixture, kind);
    report_terminal(&fixture.results, &out);
    tap_ok(out.length > 200 && widest_line(&out) < 100, "the table takes %zu columns", widest_line(&out));
    tap_ok(!strstr(out.data, "nan") && !strstr(out.data, "inf "), "no nan, no inf");
    text_clear(&out);
    report_terminal_runs(fixture.results.runs, fixture.results.run_count, &out);
    tap_ok(out.length > 200 && !out.failed && !strstr(out.data, "nan"), "runs without a campaign");
    tap_ok(widest_line(&out) < 100, "they take %zu columns", widest_line(&out));
    if (kind != FIXTURE_ALL_FAILED)
        tap_ok(strstr(out.data, " \xc2\xb1 1.1 rev/min from sound; logged 3430, "),
               "the speed is told with its standard uncertainty, and beside the log's");
    if (kind != FIXTURE_ALL_FAILED)
        tap_ok(strstr(out.data, " at the reference distance, ") && !strstr(out.data, "no distance was given"),
               "the level at the reference distance is told");
    text_clear(&out);
    for (size_t i = 0; i < fixture.results.run_count; i++)
        fixture.results.runs[i].at_reference.distance_correction_db = ABSENT;
    report_terminal_runs(fixture.results.runs, fixture.results.run_count, &out);
    if (kind != FIXTURE_ALL_FAILED)
        tap_ok(!strstr(out.data, "at the reference distance") && strstr(out.data, "no distance was given"),
               "or that it is not known, as no distance was given");
    text_clear(&out);
    fixture_clear(&fixture);
}

/* Ids as cairo writes them; two figures on a page must not share one. */
static void ids_are_renamed(void)
{
    static const char svg[] = "<?xml version=\"1.0\"?>\n<svg width=\"9pt\" viewBox=\"0 0 9 9\">\n<g id=\"surface77\">"
                              "<use xlink:href=\"#glyph0-1\"/><path clip-path=\"url(#clip3)\"/></g></svg>\n";
    struct text out = { 0 };
    struct err err;
    tap_ok(svg_add_renamed(svg, "f2", "a <label>", &out, &err), "renamed");
    tap_ok(out.data && strstr(out.data, "id=\"f2-1\"") && strstr(out.data, "href=\"#f2-2\"") &&
               strstr(out.data, "url(#f2-3)") && strstr(out.data, "aria-label=\"a &lt;label&gt;\"") &&
               !strstr(out.data, "<?xml"),
           "ids are numbered, the label is escaped, no declaration");
    text_clear(&out);
    tap_ok(!svg_add_renamed("<html>", "f", "", &out, &err), "what is no SVG is refused");
    text_clear(&out);
}

/* Where the sound gives no speed, the logged one is not taken for it. */
static void a_logged_speed_is_marked(void)
{
    struct fixture fixture;
    struct text out = { 0 };
    fixture_make(&fixture, FIXTURE_UNCALIBRATED);
    struct run_result *run = &fixture.results.runs[0];
    run->rotor.rpm_measured = ABSENT;
    run->rpm_given = 4321;
    report_terminal(&fixture.results, &out);
    report_terminal_runs(run, 1, &out);
    tap_ok(out.data && strstr(out.data, "(4321)"), "in brackets in the table");
    tap_ok(out.data &&
               strstr(out.data, "speed      not known: the sound shows no blade tones that fit one speed; logged "
                                "4321 rev/min\n"),
           "and told as logged of one recording");
    text_clear(&out);
    fixture_clear(&fixture);
}

int main(void)
{
    a_logged_speed_is_marked();
    char folder[] = "/tmp/thrum-report-XXXXXX";
    if (!tap_ok(mkdtemp(folder) != NULL, "a folder to write in"))
        return tap_done();
    ids_are_renamed();
    nothing_is_half_written(folder);
    bytes_are_the_same_twice(folder);
    formats_are_chosen(folder);
    for (int kind = FIXTURE_RICH; kind <= FIXTURE_ALL_FAILED; kind++)
        terminal_is_narrow((enum fixture_kind)kind);
    char *tables = files_join(folder, "tables");
    tap_ok(rmdir(tables) == 0 && rmdir(folder) == 0, "nothing else was left there");
    free(tables);
    return tap_done();
}
