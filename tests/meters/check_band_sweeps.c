/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "rig.h"

#include "base/units.h"
#include "meters/band.h"
#include "meters/band_meter.h"

#include <math.h>
#include <stdio.h>

#define SWEEP_S 12.0
#define FROM_HZ 5.0

/* An exponential sweep dwells equally long in every band: a filter whose effective bandwidth (5.12) is the ideal one,
 * and which does not change with time (5.14), gives the sweep's level less 10 lg of bands swept. */
static void sweep(double rate_hz, int per_octave, struct figures *figures, double *goal_db)
{
    double to_hz = 0.499 * rate_hz;
    struct signal signal = signal_new(rate_hz, per_octave > 12 ? 8 : per_octave > 3 ? 4 : 1, SWEEP_S + 3);
    size_t tail = (size_t)(3 * rate_hz);
    signal.frame_count -= tail;
    signal_add_sweep(&signal, FROM_HZ, to_hz, 1);
    signal.frame_count += tail;
    figures_init(figures);
    rig_run(per_octave == 3 ? &third_octave_meter : &fraction_meter, &signal, per_octave, 0, figures);
    *goal_db = pa2_to_db(0.3 * log(10) / per_octave / log(to_hz / FROM_HZ) * SWEEP_S / (SWEEP_S + 3));
    signal_clear(&signal);
}

static void show_third_octaves(struct sheet *sheet)
{
    struct figures figures[CHECK_RATE_COUNT];
    double goal_db[CHECK_RATE_COUNT];
    for (size_t rate = 0; rate < CHECK_RATE_COUNT; rate++)
        sweep(check_rates_hz[rate], 3, &figures[rate], &goal_db[rate]);
    sheet_matrix_begin(sheet, "Hz", check_rate_names, CHECK_RATE_COUNT);
    for (size_t i = 0; i <= 30; i++) {
        char label[40];
        snprintf(label, sizeof label, "%.6g", band_nominal_hz(3, (int)i - 17));
        sheet_matrix_row(sheet, label);
        for (size_t rate = 0; rate < CHECK_RATE_COUNT; rate++) {
            if (i >= figures[rate].third_octave.count)
                sheet_cell_empty(sheet);
            else
                sheet_cell(sheet, figures[rate].third_octave.items[i].level_db, goal_db[rate], 0.4, 0.4,
                           "sweep, %s Hz band, rate %s", label, check_rate_names[rate]);
        }
        sheet_matrix_row_end(sheet);
    }
    sheet_matrix_end(sheet);
    for (size_t rate = 0; rate < CHECK_RATE_COUNT; rate++)
        figures_clear(&figures[rate]);
}

static void show_fractions(struct sheet *sheet)
{
    static const int fractions[] = { 1, 6, 12, 24 };
    sheet_note(sheet, "Other fractions at 48 kHz, the band that is furthest off.");
    sheet_rows_begin(sheet);
    for (size_t i = 0; i < 4; i++) {
        struct figures figures;
        double goal_db = 0, worst_db = 0;
        sweep(48000, fractions[i], &figures, &goal_db);
        for (size_t k = 0; k < figures.bands.count; k++) {
            double off_db = figures.bands.items[k].level_db - goal_db;
            worst_db = fabs(off_db) > fabs(worst_db) || isnan(off_db) ? off_db : worst_db;
        }
        sheet_row(sheet, worst_db, 0, 0.4, 0.4, "1/%d octave, %zu bands", fractions[i], figures.bands.count);
        figures_clear(&figures);
    }
    sheet_rows_end(sheet);
}

void check_band_sweeps(struct sheet *sheet)
{
    sheet_section(
        sheet, "Effective bandwidth and time invariance", "dB",
        "IEC 61260-1:2014, 5.12 and 5.14: an exponential sweep from 5 Hz to 0.499 of the rate in 12 s; deviation from "
        "the level of ideal filters. Class 1 allows ±0.4 dB for either (from memory).");
    show_third_octaves(sheet);
    show_fractions(sheet);
}
