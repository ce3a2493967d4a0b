/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sections.h"

#include "base/absent.h"
#include "base/text.h"
#include "report/appendix.h"
#include "report/show.h"
#include "report/shown.h"

#include <math.h>
#include <stdio.h>

#define BANDS_MAX 48

/* The nominal frequencies of the third octaves that any run has, ascending. */
static size_t list_bands(const struct view *view, double *nominal_hz)
{
    size_t count = 0;
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct bands *bands = &view->results->runs[i].figures.third_octave;
        for (size_t k = 0; k < bands->count; k++) {
            size_t place = 0;
            bool is_there = false;
            for (size_t n = 0; n < count; n++) {
                is_there = is_there || fabs(nominal_hz[n] / bands->items[k].nominal_hz - 1) < 0.01;
                place += nominal_hz[n] < bands->items[k].nominal_hz;
            }
            if (is_there || count == BANDS_MAX)
                continue;
            for (size_t n = count; n > place; n--)
                nominal_hz[n] = nominal_hz[n - 1];
            nominal_hz[place] = bands->items[k].nominal_hz;
            count++;
        }
    }
    return count;
}

/* The band of one run: what is shown of the run nearest to the point where no fit through runs exists. */
static struct datum band_of_run(const struct run_result *run, double nominal_hz)
{
    struct datum out = { 0, ABSENT, ABSENT, ABSENT, false, false };
    for (size_t i = 0; run && i < run->figures.third_octave.count; i++) {
        if (fabs(run->figures.third_octave.items[i].nominal_hz / nominal_hz - 1) >= 0.01)
            continue;
        out.y = run->figures.third_octave.items[i].level_db;
        if (i < run->at_reference.band_count && is_given(run->at_reference.bands[i].level_db)) {
            out.y = run->at_reference.bands[i].level_db;
            out.is_bound = run->at_reference.bands[i].is_upper_bound;
        }
    }
    return out;
}

static bool has_fits(const struct view *view, double at, size_t variant, const double *nominal_hz, size_t count)
{
    struct view_value value;
    for (size_t i = 0; i < count; i++)
        if (view_value(view, at, "third_octave_db", nominal_hz[i], variant, &value))
            return true;
    return false;
}

static bool has_bars(const struct view *view, double at, size_t variant, const double *nominal_hz, size_t count)
{
    return has_fits(view, at, variant, nominal_hz, count) || view_run(view, variant, at);
}

/* By the fit of each band, else by the nearest run: where other bands are of fits, with an open marker. True: any. */
static bool add_variant(const struct view *view, struct chart *chart, double at, size_t variant,
                        const double *nominal_hz, size_t count)
{
    const struct run_result *run = view_run(view, variant, at);
    bool is_fitted = has_fits(view, at, variant, nominal_hz, count), any = false;
    chart_series(chart, SERIES_BARS, view_look(view, variant), show_variant(view_variant(view, variant)).text);
    for (size_t i = 0; i < count; i++) {
        struct datum datum = band_of_run(run, nominal_hz[i]);
        struct view_value value;
        if (view_value(view, at, "third_octave_db", nominal_hz[i], variant, &value))
            datum = (struct datum){ 0,          value.value, isfinite(value.low) ? value.low : ABSENT,
                                    value.high, false,       isinf(value.low) && value.low < 0 };
        else
            datum.is_open = is_fitted && isfinite(datum.y);
        datum.x = (double)i + 0.5;
        chart_add(chart, datum);
        any = any || datum.is_open;
    }
    return any;
}

static void add_point(const struct view *view, struct document *document, double at, const double *nominal_hz,
                      size_t count)
{
    struct chart *chart = chart_new();
    char label[SHOW_MAX], caption[800];
    bool is_marked = false;
    snprintf(label, sizeof label, "Third-octave level, %s", show_level_unit(view->results));
    chart_axes(chart, SCALE_CATEGORY, "Third-octave band, nominal mid-frequency, Hz", label);
    for (size_t i = 0; i < count; i++) {
        char name[SCALE_NAME_MAX];
        scale_nominal_text(nominal_hz[i], name, sizeof name);
        chart_add_name(chart, name);
    }
    for (size_t s = 0; s < view->shown_count; s++)
        if (has_bars(view, at, view->shown[s], nominal_hz, count))
            is_marked |= add_variant(view, chart, at, view->shown[s], nominal_hz, count);
    chart_fit_y(chart, 20, false);
    snprintf(caption, sizeof caption,
             "Third-octave levels at %s, unweighted, at the reference distance. Whiskers: 95 %% interval of the value; "
             "arrow: at most this, the background is less than 6 dB below.%s",
             show_operating(view->at, at).text,
             is_marked ? " Open marker: the runs together don't tell this band at the point, mostly because tones move "
                         "from band to band with the speed; the bar is the run nearest to the point, as measured "
                         "there; the spectra name it."
                       : "");
    document_chart(document, chart, 190, caption);
}

/* A column of the tables of differences is a shown variant at a point. */
static double column_point(const struct view *view, size_t column)
{
    return view->values[column / view->shown_count];
}

static size_t column_variant(const struct view *view, size_t column)
{
    return view->shown[column % view->shown_count];
}

static const struct comparison *band_difference(const struct view *view, size_t column, double nominal_hz)
{
    return view_comparison(view, column_point(view, column), "third_octave_db", nominal_hz,
                           column_variant(view, column));
}

static bool is_column_used(const struct view *view, size_t column, const double *nominal_hz, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (band_difference(view, column, nominal_hz[i]))
            return true;
    return false;
}

/* Of the runs nearest to the point, in brackets; as absent where one of them is only an upper bound. */
static struct shown nearest_difference(const struct view *view, size_t column, double nominal_hz)
{
    double at = column_point(view, column);
    struct datum ours = band_of_run(view_run(view, column_variant(view, column), at), nominal_hz);
    struct datum theirs = band_of_run(view_run(view, view->results->reference, at), nominal_hz);
    double difference_db = ours.is_bound || theirs.is_bound ? ABSENT : ours.y - theirs.y;
    struct shown number = show_signed(difference_db, 1), out;
    if (!isfinite(difference_db))
        return number;
    snprintf(out.text, sizeof out.text, "(%.20s)", number.text);
    return out;
}

static void add_difference_table(const struct view *view, struct document *document, const size_t *columns,
                                 size_t column_count, const double *nominal_hz, size_t count)
{
    struct table *table = table_new("");
    table_column(table, "Band, Hz", false);
    for (size_t c = 0; c < column_count; c++) {
        char header[SHOW_MAX];
        text_fit(header, sizeof header, "%s at %s, dB", view_variant(view, column_variant(view, columns[c]))->name,
                 show_operating(view->at, column_point(view, columns[c])).text);
        table_column(table, header, false);
    }
    for (size_t i = 0; i < count; i++) {
        char name[SCALE_NAME_MAX];
        scale_nominal_text(nominal_hz[i], name, sizeof name);
        table_row(table, false);
        table_cell(table, "%s", name);
        for (size_t c = 0; c < column_count; c++) {
            const struct comparison *item = band_difference(view, columns[c], nominal_hz[i]);
            if (item && item->verdict == COMPARE_REFUSED)
                table_cell(table, "%s", nearest_difference(view, columns[c], nominal_hz[i]).text);
            else
                table_cell(table, "%s%s", show_signed(item ? item->difference_db : ABSENT, 1).text,
                           item && item->survives_many_bands ? " *" : "");
        }
    }
    document_table(document, table);
}

#define DIFFERENCE_COLUMNS_MAX 8 /* of one table; more variants and points make more tables */

static void add_differences(const struct view *view, struct document *document, const double *nominal_hz, size_t count)
{
    size_t columns[DIFFERENCE_COLUMNS_MAX], column_count = 0;
    bool any = false;
    for (size_t c = 0; c < view->value_count * view->shown_count; c++)
        any = any || is_column_used(view, c, nominal_hz, count);
    if (!any)
        return;
    document_add(document, BLOCK_HEADING, "Differences from %s, band by band",
                 view_variant(view, view->results->reference)->name);
    document_add(
        document, BLOCK_QUIET,
        "Many bands are tested at once, so some would differ by chance. A star marks the differences that stand "
        "after Holm's correction: the chance that any starred one of a column is false is below 5 %%. In brackets: the "
        "runs together don't tell this "
        "band at the point, mostly because tones move from band to band with the speed; the figure is that of the runs "
        "nearest to the point, and how sure it is is not known.");
    for (size_t c = 0; c < view->value_count * view->shown_count; c++) {
        if (!is_column_used(view, c, nominal_hz, count))
            continue;
        columns[column_count++] = c;
        if (column_count == DIFFERENCE_COLUMNS_MAX) {
            add_difference_table(view, document, columns, column_count, nominal_hz, count);
            column_count = 0;
        }
    }
    if (column_count > 0)
        add_difference_table(view, document, columns, column_count, nominal_hz, count);
}

/* The bands of another fraction of an octave, where they were asked for: lines, for there may be hundreds. */
static void add_fine_bands(const struct view *view, struct document *document, double at)
{
    struct chart *chart = chart_new();
    char label[SHOW_MAX], caption[400];
    int per_octave = 0;
    snprintf(label, sizeof label, "Band level, %s", show_level_unit(view->results));
    chart_axes(chart, SCALE_FREQUENCY, "Band mid-frequency, Hz", label);
    for (size_t s = 0; s < view->shown_count; s++) {
        size_t v = view->shown[s];
        const struct run_result *run = view_run(view, v, at);
        if (!run || run->figures.bands.count == 0)
            continue;
        per_octave = run->figures.bands.per_octave;
        chart_series(chart, SERIES_LINE, view_look(view, v), show_variant(view_variant(view, v)).text);
        for (size_t i = 0; i < run->figures.bands.count; i++)
            if (run->figures.bands.items[i].exact_hz >= 20 && run->figures.bands.items[i].exact_hz <= 20000)
                chart_add(chart, (struct datum){ run->figures.bands.items[i].exact_hz,
                                                 run->figures.bands.items[i].level_db, ABSENT, ABSENT, false, false });
    }
    chart_fit_y(chart, 20, false);
    snprintf(caption, sizeof caption, "Levels in bands of 1/%d octave of the runs nearest to %s, at the microphone.",
             per_octave, show_operating(view->at, at).text);
    document_chart(document, chart, 180, caption);
}

static void add_pictures(const struct view *view, struct document *document, bool is_middle)
{
    double nominal_hz[BANDS_MAX];
    size_t count = list_bands(view, nominal_hz);
    for (size_t p = 0; p < view->value_count && count > 0; p++)
        if (view_is_middle(view, p) == is_middle)
            add_point(view, document, view->values[p], nominal_hz, count);
    for (size_t p = 0; p < view->value_count && count > 0; p++)
        if (view_is_middle(view, p) == is_middle)
            add_fine_bands(view, document, view->values[p]);
}

void section_bands(const struct view *view, struct document *document)
{
    double nominal_hz[BANDS_MAX];
    if (list_bands(view, nominal_hz) == 0 || view->value_count == 0)
        return;
    document_section(document, "bands", "Third-octave bands");
    shown_refer(view, document, "tables/third-octave.csv");
    add_pictures(view, document, true);
}

void appendix_bands(const struct view *view, struct document *document)
{
    double nominal_hz[BANDS_MAX];
    size_t count = list_bands(view, nominal_hz);
    if (count > 0 && view->value_count > 1) {
        document_add(document, BLOCK_HEADING, "Third octaves at the other points");
        add_pictures(view, document, false);
    }
    if (count > 0 && view->is_compared)
        add_differences(view, document, nominal_hz, count);
}
