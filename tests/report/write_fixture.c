/* SPDX-License-Identifier: GPL-3.0-or-later */

/* write-fixture KIND FOLDER: writes the report of a fixture, for tests of the files and for looking at them. */

#include "fixture.h"
#include "report/report.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int main(int argc, char **argv)
{
    static const char *const kinds[] = { "rich", "one-variant", "uncalibrated", "all-failed" };
    struct fixture fixture;
    struct text paths = { 0 }, table = { 0 };
    struct err err;
    int kind = 0;
    setlocale(LC_ALL, "");
    while (kind < 4 && argc == 3 && strcmp(argv[1], kinds[kind]) != 0)
        kind++;
    if (argc != 3 || kind == 4) {
        fprintf(stderr, "usage: write-fixture rich|one-variant|uncalibrated|all-failed FOLDER\n");
        return 2;
    }
    fixture_make(&fixture, (enum fixture_kind)kind);
    bool ok = report_write(&fixture.results, &(struct report_formats){ true, true, true, true }, argv[2], &paths, &err);
    if (ok) {
        report_terminal(&fixture.results, &table);
        fputs(table.data, stdout);
    } else {
        fprintf(stderr, "%s: %s\n", err.file, err.text);
    }
    text_clear(&paths);
    text_clear(&table);
    fixture_clear(&fixture);
    return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}
