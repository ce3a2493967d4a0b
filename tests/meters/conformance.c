/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Everything that docs/conformance.md holds.
 *   test-meters-conformance --markdown         writes the page to standard output
 *   test-meters-conformance --page FILE        tests every row, and that FILE is the page
 *   test-meters-conformance --only NAME        tests one group */

#include "tap.h"

#include "checks.h"

static const struct {
    const char *name;
    void (*check)(struct sheet *sheet);
} groups[] = {
    { "weightings", check_weightings },
    { "bursts", check_bursts },
    { "c-peak", check_c_peak },
    { "linearity", check_linearity },
    { "band-table", check_band_table },
    { "band-masks", check_band_masks },
    { "band-sweeps", check_band_sweeps },
    { "air", check_air_absorption },
    { "background", check_background_corrections },
};

#ifdef CHECK_ONE_RATE
const double check_rates_hz[CHECK_RATE_COUNT] = { 44100 };
const char *const check_rate_names[CHECK_RATE_COUNT] = { "44100" };
#else
const double check_rates_hz[CHECK_RATE_COUNT] = { 32000, 44100, 48000, 88200, 96000, 192000 };
const char *const check_rate_names[CHECK_RATE_COUNT] = { "32000", "44100", "48000", "88200", "96000", "192000" };
#endif

static bool is_writing; /* the page goes to standard output: the protocol stays silent */

bool check_within(double got, double goal, double below, double above, const char *label)
{
    if (is_writing)
        return true;
    if (isinf(below) && isfinite(got) && got - goal <= above)
        return tap_ok(true, "%s: got %.9g, goal %.9g (no lower limit, +%.3g)", label, got, goal, above);
    return tap_within(got, goal, below, above, "%s", label);
}

static void run(struct sheet *sheet, const char *only)
{
    text_add(&sheet->markdown,
             "<!-- made by: test-meters-conformance --markdown > docs/conformance.md -->\n"
             "# Conformance of the meters\n\n"
             "What the standards ask of the levels and bands, what is met, and the margin that is left. "
             "Every row is a test of the suite; `test-meters-conformance --markdown` makes this page anew. "
             "This is a test of a program, by its authors: no type approval, and nothing is said of "
             "microphone, converter or calibrator.\n");
    for (size_t i = 0; i < sizeof groups / sizeof groups[0]; i++)
        if (!only || strcmp(only, groups[i].name) == 0)
            groups[i].check(sheet);
}

/* The first line that differs is told. */
static void compare_page(const char *path, const char *made)
{
    FILE *file = fopen(path, "rb");
    if (!tap_ok(file != NULL, "%s can be read", path))
        return;
    char line[4096];
    int number = 0;
    bool is_same = true;
    while (is_same && fgets(line, sizeof line, file)) {
        size_t length = strlen(line);
        number++;
        is_same = strncmp(made, line, length) == 0;
        if (is_same)
            made += length;
    }
    fclose(file);
    tap_ok(is_same && *made == '\0', "%s is what --markdown makes (compared %d lines)", path, number);
}

int main(int argument_count, char **arguments)
{
    struct sheet sheet = { 0 };
    const char *option = argument_count > 1 ? arguments[1] : "--page";
    is_writing = strcmp(option, "--markdown") == 0;
    run(&sheet, argument_count > 2 && strcmp(option, "--only") == 0 ? arguments[2] : NULL);
    bool is_whole = !sheet.markdown.failed && sheet.markdown.data;
    if (is_writing) {
        if (is_whole)
            fputs(sheet.markdown.data, stdout);
    } else {
        tap_ok(is_whole, "the page is whole");
        if (is_whole && argument_count > 2 && strcmp(option, "--page") == 0)
            compare_page(arguments[2], sheet.markdown.data);
    }
    text_clear(&sheet.markdown);
    return is_writing ? (is_whole ? EXIT_SUCCESS : EXIT_FAILURE) : tap_done();
}
