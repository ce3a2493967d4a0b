/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/ground_marks.h"

#include "base/absent.h"
#include "base/text.h"
#include "base/units.h"
#include "meters/ground.h"
#include "report/show.h"

#include <string.h>

#define DIPS_TOLD 3
#define HIGHEST_DIP_HZ 5000.0 /* above, dips lie so close together that no part of the spectrum is spared */
#define ROOM_TEMPERATURE_C 20.0

static double path_difference_m(const struct microphone *microphone)
{
    return ground_path_difference_m(microphone->distance_m, microphone->source_height_m, microphone->height_m);
}

static double speed_of_sound(const struct view *view)
{
    double temperature_c = view->results->campaign->air.temperature_c;
    return sound_speed_m_s(is_given(temperature_c) ? temperature_c : ROOM_TEMPERATURE_C);
}

static size_t dips_of(const struct view *view, const struct microphone *microphone, double dips_hz[DIPS_TOLD])
{
    return ground_dips_hz(path_difference_m(microphone), speed_of_sound(view), HIGHEST_DIP_HZ, dips_hz, DIPS_TOLD);
}

static const struct microphone *microphone_of(const struct view *view, const struct run_result *run)
{
    const struct campaign *campaign = view->results->campaign;
    for (size_t i = 0; run->microphone && i < campaign->microphone_count; i++)
        if (strcmp(campaign->microphones[i].name, run->microphone) == 0)
            return &campaign->microphones[i];
    return NULL;
}

void ground_marks_add(const struct view *view, const struct run_result *run, struct chart *chart)
{
    const struct microphone *microphone = microphone_of(view, run);
    double dips_hz[DIPS_TOLD];
    size_t count = microphone ? dips_of(view, microphone, dips_hz) : 0;
    for (size_t i = 0; i < count; i++) {
        double reach_hz = speed_of_sound(view) / (6 * path_difference_m(microphone));
        chart_shade(chart, dips_hz[i] - reach_hz, dips_hz[i], dips_hz[i] + reach_hz, "weakened by the ground");
    }
}

static void add_dips_cell(struct table *table, const double *dips_hz, size_t count)
{
    struct text out = { 0 };
    for (size_t i = 0; i < count; i++)
        text_addf(&out, "%s%s", i > 0 ? ", " : "", show(dips_hz[i], 0).text);
    text_add(&out, count == DIPS_TOLD ? " and so on" : "");
    table_cell(table, "%s", out.data ? out.data : "");
    table_fail(table, out.failed);
    text_clear(&out);
}

void ground_marks_list(const struct view *view, struct document *document)
{
    const struct campaign *campaign = view->results->campaign;
    struct table *table = table_new("Reflection from a hard ground, by the heights");
    table_column(table, "Microphone", true);
    table_column(table, "Way over the ground longer by, m", false);
    table_column(table, "Sound is weakened most near, Hz", true);
    size_t row_count = 0;
    for (size_t i = 0; i < campaign->microphone_count; i++) {
        const struct microphone *microphone = &campaign->microphones[i];
        double dips_hz[DIPS_TOLD];
        size_t count = dips_of(view, microphone, dips_hz);
        if (count == 0)
            continue;
        row_count++;
        table_row(table, false);
        table_cell(table, "%s", microphone->name);
        table_cell(table, "%s", show(path_difference_m(microphone), 3).text);
        add_dips_cell(table, dips_hz, count);
    }
    document_table(document, table);
    if (row_count > 0)
        document_add(document, BLOCK_QUIET,
                     "Spectra are shaded where the way over the ground takes away from the direct sound, around the "
                     "first dips. Levels are not corrected for it. Soft ground (grass, reeds) weakens less and moves "
                     "the dips; rotors recorded at the same place and height are hit alike only at the same "
                     "frequency.");
}
