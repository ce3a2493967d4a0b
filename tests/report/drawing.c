/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "fixture.h"
#include "report/appendix.h"
#include "report/place.h"
#include "report/scale.h"
#include "report/sections.h"
#include "report/style.h"
#include "report/table.h"

#include <glib.h>

/* ISO 266:1997 (R 10) and IEC 61260-1:2014, annex E: nominal third-octave mid-frequencies; exact ones are 1000 Hz times
 * powers of 10^(1/10). */
static void bands_have_nominal_names(void)
{
    static const char *const names[] = { "20",  "25",   "31.5",  "40",   "50",    "63",   "80",    "100",
                                         "125", "160",  "200",   "250",  "315",   "400",  "500",   "630",
                                         "800", "1k",   "1.25k", "1.6k", "2k",    "2.5k", "3.15k", "4k",
                                         "5k",  "6.3k", "8k",    "10k",  "12.5k", "16k",  "20k" };
    size_t good_count = 0;
    for (int i = 0; i < 31; i++) {
        char name[SCALE_NAME_MAX];
        scale_nominal_text(1000 * pow(10, (i - 17) / 10.0), name, sizeof name);
        good_count += strcmp(name, names[i]) == 0;
    }
    tap_ok(good_count == 31, "%zu of 31 bands have their nominal names", good_count);
    struct scale scale = { .kind = SCALE_FREQUENCY, .low = 20, .high = 20000 };
    struct ticks ticks;
    scale_ticks(&scale, 10, &ticks);
    tap_ok(ticks.count >= 30 && ticks.items[ticks.count - 1].value <= 20000, "%zu ticks from 20 Hz to 20 kHz",
           ticks.count);
    tap_near(scale_place(&scale, sqrt(20.0 * 20000)), 0.5, 1e-12, "the middle of a logarithmic axis");
}

static void ticks_are_round(void)
{
    static const struct {
        double low, high;
        int most;
        const char *first, *last;
        size_t count;
    } rows[] = {
        { 0, 10, 5, "0", "10", 6 },          { 50, 80, 8, "50", "80", 7 },
        { -0.2, 0.21, 5, "−0.2", "0.2", 5 }, { 0.002, 0.0041, 5, "0.0020", "0.0040", 5 },
        { -110, -40, 7, "−110", "−40", 8 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct scale scale = { .kind = SCALE_LINEAR, .low = rows[i].low, .high = rows[i].high };
        struct ticks ticks;
        scale_ticks(&scale, rows[i].most, &ticks);
        tap_ok(ticks.count == rows[i].count, "%g to %g: %zu ticks", rows[i].low, rows[i].high, ticks.count);
        tap_text(ticks.items[0].text, rows[i].first, "the first");
        tap_text(ticks.items[ticks.count - 1].text, rows[i].last, "the last");
    }
    struct scale scale = { .kind = SCALE_LINEAR };
    scale_fit(&scale, 61.3, 78.9, 6);
    tap_ok(scale.low <= 61.3 && scale.high >= 78.9, "a fitted range holds its values: %g to %g", scale.low, scale.high);
    scale_fit(&scale, 60, 60, 6);
    tap_ok(scale.high - scale.low >= 6, "one value still has a range");
}

static bool meet(struct box a, struct box b)
{
    return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

static void labels_never_overlap(void)
{
    static struct placer placer; /* large */
    struct box boxes[200];
    size_t count = 0, refused_count = 0, overlap_count = 0;
    unsigned seed = 20261003;
    placer_init(&placer, (struct box){ 0, 0, 480, 160 });
    for (int i = 0; i < 200; i++) {
        seed = seed * 1664525U + 1013904223U;
        double x = (double)(seed >> 8 & 0xffff) / 65536 * 480, y = (double)(seed >> 16) / 65536 * 160;
        if (placer_near(&placer, x, y, 20 + i % 30, 8, &boxes[count]))
            count++;
        else
            refused_count++;
    }
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < i; k++)
            overlap_count += meet(boxes[i], boxes[k]);
    tap_ok(count > 60 && refused_count > 0 && overlap_count == 0, "%zu labels placed, %zu refused, %zu overlaps", count,
           refused_count, overlap_count);
}

static double linear(double part)
{
    return part <= 0.03928 ? part / 12.92 : pow((part + 0.055) / 1.055, 2.4);
}

/* Luminance relative to white, WCAG 2.1. */
static double colour_luminance(struct colour colour)
{
    return 0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue);
}

/* WCAG 2.1: contrast of text at least 4.5 to 1, of graphics at least 3 to 1 (success criteria 1.4.3 and 1.4.11), the
 * latter for all but the amber and green fills, which have an outline, a hatch and a name beside them. */
static double contrast_on_paper(struct colour colour)
{
    return 1.05 / (colour_luminance(colour) + 0.05);
}

static void looks_are_told_apart(void)
{
    tap_ok(contrast_on_paper(style_ink) >= 7, "ink: contrast %.1f", contrast_on_paper(style_ink));
    tap_ok(contrast_on_paper(style_quiet) >= 4.5, "quiet text: contrast %.1f", contrast_on_paper(style_quiet));
    tap_ok(contrast_on_paper(style_accent) >= 4.5, "accent: contrast %.1f", contrast_on_paper(style_accent));
    for (size_t i = 0; i < 4; i++)
        for (size_t k = 0; k < i; k++) {
            double a = colour_luminance(look_of(i).colour), b = colour_luminance(look_of(k).colour);
            double ratio = (fmax(a, b) + 0.05) / (fmin(a, b) + 0.05);
            tap_ok(ratio >= 1.2 && look_of(i).marker != look_of(k).marker && look_of(i).hatch != look_of(k).hatch,
                   "looks %zu and %zu: %.2f to 1 in grey, other marker and hatch", k, i, ratio);
        }
    double others = contrast_on_paper(look_of(LOOK_OTHERS).colour);
    for (size_t i = 0; i < LOOK_COUNT; i++)
        tap_ok(contrast_on_paper(look_of(i).colour) > others, "look %zu stands out more than those not told apart", i);
}

struct lab {
    double l, a, b;
};

static double lab_root(double ratio)
{
    return ratio > 216.0 / 24389 ? cbrt(ratio) : (24389.0 / 27 * ratio + 16) / 116;
}

/* CIELAB (CIE 15) of linear sRGB (IEC 61966-2-1) under D65. */
static struct lab lab_of(const double *rgb)
{
    double x = lab_root((0.4124 * rgb[0] + 0.3576 * rgb[1] + 0.1805 * rgb[2]) / 0.9505);
    double y = lab_root(0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]);
    double z = lab_root((0.0193 * rgb[0] + 0.1192 * rgb[1] + 0.9505 * rgb[2]) / 1.089);
    return (struct lab){ 116 * y - 16, 500 * (x - y), 200 * (y - z) };
}

/* How a colour is seen without one kind of cone: Machado, Oliveira and Fernandes, IEEE TVCG 15 (2009), table for a
 * severity of 1.0 (from memory), on linear sRGB. */
static struct lab seen(struct colour colour, const double matrix[3][3])
{
    const double parts[3] = { colour.red, colour.green, colour.blue };
    double linear[3], rgb[3];
    for (int i = 0; i < 3; i++)
        linear[i] = parts[i] <= 0.04045 ? parts[i] / 12.92 : pow((parts[i] + 0.055) / 1.055, 2.4);
    for (int i = 0; i < 3; i++)
        rgb[i] = fmin(fmax(matrix[i][0] * linear[0] + matrix[i][1] * linear[1] + matrix[i][2] * linear[2], 0), 1);
    return lab_of(rgb);
}

/* Some 2.3 is the least difference that is seen side by side (Mahy et al., Color Research and Application 19 (1994),
 * from memory); lines on paper, apart from each other, want several times that: 15, common practice. */
static void looks_for_the_colour_blind(void)
{
    static const struct {
        const char *name;
        double matrix[3][3];
    } kinds[] = {
        { "all cones", { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 } } },
        { "protanopia",
          { { 0.152286, 1.052583, -0.204868 }, { 0.114503, 0.786281, 0.099216 }, { -0.003882, -0.048116, 1.051998 } } },
        { "deuteranopia",
          { { 0.367322, 0.860646, -0.227968 }, { 0.280085, 0.672501, 0.047413 }, { -0.011820, 0.042940, 0.968881 } } },
        { "tritanopia",
          { { 1.255528, -0.076749, -0.178779 }, { -0.078411, 0.930809, 0.147602 }, { 0.004733, 0.691367, 0.303900 } } },
    };
    for (size_t n = 0; n < sizeof kinds / sizeof *kinds; n++) {
        double least = INFINITY;
        for (size_t i = 0; i < LOOK_COUNT; i++)
            for (size_t k = 0; k < i; k++) {
                struct lab a = seen(look_of(i).colour, kinds[n].matrix), b = seen(look_of(k).colour, kinds[n].matrix);
                least = fmin(least, sqrt(pow(a.l - b.l, 2) + pow(a.a - b.a, 2) + pow(a.b - b.b, 2)));
            }
        tap_ok(least >= 15, "%s: the two colours most alike are %.1f apart in CIELAB", kinds[n].name, least);
    }
}

static bool has_unit(const char *label)
{
    static const char *const units[] = {
        ", dB re 20 µPa", ", dBFS", ", dB", ", Hz", ", N",    ", W",         ", N/W",
        ", rev/min",      ", m/s",  ", %",  ", s",  ", sone", ", sone/bark", ", bark"
    };
    size_t length = strlen(label);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (length > strlen(units[i]) && strcmp(label + length - strlen(units[i]), units[i]) == 0)
            return true;
    return false;
}

static void axes_have_units(enum fixture_kind kind)
{
    struct fixture fixture;
    struct document document;
    struct err err;
    size_t figure_count = 0;
    fixture_make(&fixture, kind);
    if (!tap_ok(document_make(&fixture.results, &document, &err), "a document is made"))
        return;
    for (size_t i = 0; i < document.count; i++) {
        const struct figure *figure = &document.items[i].figure;
        if (figure->chart)
            tap_ok(has_unit(figure->chart->x.label) && has_unit(figure->chart->y.label), "axes \"%s\" and \"%s\"",
                   figure->chart->x.label, figure->chart->y.label);
        if (figure->stack)
            tap_ok(has_unit(figure->stack->axis_label), "axis \"%s\"", figure->stack->axis_label);
        if (figure->chart && kind == FIXTURE_UNCALIBRATED)
            tap_ok(!strstr(figure->chart->y.label, "Pa"), "no pascal without a calibration");
        figure_count += figure->chart || figure->stack;
    }
    tap_ok(figure_count >= (kind == FIXTURE_RICH ? 13 : 8), "%zu figures", figure_count);
    document_clear(&document);
    fixture_clear(&fixture);
}

/* Long names are cut between characters, never inside one: pango and browsers refuse the rest. */
static void names_stay_text(void)
{
    static const char name[] =
        "Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-"
        "Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-Röhricht-葦原-Röhricht";
    for (size_t start = 0; start < 4; start++) {
        struct chart *chart = chart_new();
        struct table *table = table_new("");
        chart_series(chart, SERIES_LINE, 0, name + start);
        chart_comb(chart, 0, name + start);
        table_column(table, name + start, true);
        const char *const texts[] = { chart->series[0].name, chart->combs[0].name, table->columns[0].header };
        for (size_t i = 0; i < 3; i++)
            tap_ok(g_utf8_validate(texts[i], -1, NULL) && strstr(texts[i], "…"), "cut from byte %zu: %s", start,
                   texts[i]);
        chart_free(chart);
        table_free(table);
    }
}

/* A table of the appendix that is longer than a page is left to its file, and a sentence says so. */
static void long_tables_are_elsewhere(void)
{
    for (size_t count = 60; count <= 61; count++) {
        struct document document = { 0 };
        struct table *table = table_new("Blade lines");
        table_column(table, "Run", true);
        for (size_t i = 0; i < count; i++) {
            table_row(table, false);
            table_cell(table, "%zu", i);
        }
        appendix_table(&document, table, "tables/lines.csv");
        bool is_table = document.count == 1 && document.items[0].kind == BLOCK_TABLE;
        tap_ok(!document.failed && is_table == (count <= 60), "%zu rows: %s", count, is_table ? "shown" : "not shown");
        if (document.count == 1 && !is_table)
            tap_text(document.items[0].text,
                     "Blade lines: 61 rows, too many to be read here; tables/lines.csv has them.", "told");
        document_clear(&document);
    }
}

int main(void)
{
    long_tables_are_elsewhere();
    names_stay_text();
    bands_have_nominal_names();
    ticks_are_round();
    labels_never_overlap();
    looks_are_told_apart();
    looks_for_the_colour_blind();
    axes_have_units(FIXTURE_RICH);
    axes_have_units(FIXTURE_UNCALIBRATED);
    axes_have_units(FIXTURE_ONE_VARIANT);
    return tap_done();
}
