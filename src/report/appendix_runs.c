/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/appendix.h"

#include "base/absent.h"
#include "report/sections.h"
#include "report/show.h"

#include <stdio.h>

#define ELSEWHERE "tables/levels.csv"

static void add_operating(const struct view *view, struct document *document)
{
    struct table *table = table_new("Operating points as logged and measured");
    table_column(table, "Run", true);
    table_column(table, "Log line", false);
    table_column(table, "Used, s", false);
    table_column(table, "Logged, rev/min", false);
    table_column(table, "Measured, rev/min", false);
    table_column(table, "Std. unc., rev/min", false);
    table_column(table, "Speed from", true);
    table_column(table, "Tip, m/s", false);
    table_column(table, "Throttle, %", false);
    table_column(table, "Thrust, N", false);
    table_column(table, "Power, W", false);
    table_column(table, "Verdict", true);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        size_t variant = view_variant_of(view, run->variant);
        table_row(table, false);
        table_cell(table, "%s", run->file);
        table_look(table, view_look(view, variant));
        table_cell(table, "%d", run->row);
        table_cell(table, "%s to %s", show(run->used_start_s, 1).text, show(run->used_end_s, 1).text);
        table_cell(table, "%s", show(run->rpm_given, 0).text);
        table_cell(table, "%s", show(run->rotor.rpm_measured, 1).text);
        table_cell(table, "%s", show(run->rotor.rpm_uncertainty, 1).text);
        table_cell(table, "%s", run->rotor.rpm_source);
        table_cell(table, "%s", show(run->tip_speed_m_s, 1).text);
        table_cell(table, "%s", show(run->throttle_pct, 0).text);
        table_cell(table, "%s", show(run->thrust_n, 2).text);
        table_cell(table, "%s", show(run->power_w, 1).text);
        table_cell(table, "%s", severity_verdict(run_result_verdict(run)));
    }
    appendix_table(document, table, ELSEWHERE);
}

static void add_levels(const struct view *view, struct document *document)
{
    char caption[SHOW_MAX + 60];
    snprintf(caption, sizeof caption, "Levels at the microphone, %s; last columns at the reference distance",
             show_level_unit(view->results));
    struct table *table = table_new(caption);
    static const char *const headers[] = { "LAeq", "LCeq", "LZeq", "LAFmax", "LAFmin",       "LASmax", "LCpeak",
                                           "LAE",  "LA10", "LA50", "LA90",   "LAeq at ref.", "K1",     "Dist." };
    table_column(table, "Run", true);
    for (size_t i = 0; i < sizeof headers / sizeof *headers; i++)
        table_column(table, headers[i], false);
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        const struct levels *levels = &run->figures.levels;
        const double figures[] = { levels->laeq_db,   levels->lceq_db,   levels->lzeq_db,   levels->lafmax_db,
                                   levels->lafmin_db, levels->lasmax_db, levels->lcpeak_db, levels->lae_db,
                                   levels->la10_db,   levels->la50_db,   levels->la90_db };
        size_t variant = view_variant_of(view, run->variant);
        table_row(table, false);
        table_cell(table, "%s", run->file);
        table_look(table, view_look(view, variant));
        for (size_t k = 0; k < sizeof figures / sizeof *figures; k++)
            table_cell(table, "%s", show(figures[k], 1).text);
        table_cell(table, "%s", show_run_level(run).text);
        table_cell(table, "%s", show(run->at_reference.background_correction_db, 1).text);
        table_cell(table, "%s", show_signed(run->at_reference.distance_correction_db, 1).text);
    }
    appendix_table(document, table, ELSEWHERE);
}

void appendix_runs(const struct view *view, struct document *document)
{
    add_operating(view, document);
    add_levels(view, document);
    document_add(
        document, BLOCK_QUIET,
        "LAeq, LCeq, LZeq: energy-mean levels with A, C and no weighting. LAFmax, LAFmin, LASmax: largest and "
        "smallest with fast (F) or slow (S) time weighting. LCpeak: peak, C-weighted. LAE: exposure. LA10, LA50, "
        "LA90: exceeded for that percentage of the time. K1: background correction, Dist.: distance correction, dB. "
        "\xe2\x89\xa4: at most "
        "this.");
}
