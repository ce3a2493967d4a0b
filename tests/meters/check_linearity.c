/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "rig.h"

#include "base/units.h"

#include <math.h>

#define RATE_HZ 48000.0
#define TOP_DB 120.0 /* level of a full-scale sine */
#define SPAN_DB 120

/* As a 24-bit file holds it, rounded to the nearest step with the noise of a converter that keeps rounding from being
 * distortion (0.3 steps rms); or as a 32-bit float. */
static double stored(double full_scale, double noise, bool is_float)
{
    return is_float ? (double)(float)full_scale : round(full_scale * 8388607 + 0.3 * noise) / 8388608;
}

static double level_db(double below_top_db, double hz, bool is_float)
{
    double full_scale_pa = sqrt(2) * db_to_amplitude_ratio(TOP_DB) * REFERENCE_PRESSURE_PA;
    struct signal signal = signal_whole_sine(RATE_HZ, hz, 1, 0.3, 0.3);
    struct signal noise = signal_new(RATE_HZ, 0.3, 0.31);
    signal_add_noise(&noise, 1, 11);
    for (size_t i = 0; i < signal.preroll_frames + signal.frame_count; i++)
        signal.pa[i] = full_scale_pa *
                       stored(signal.pa[i] / sqrt(2) * db_to_amplitude_ratio(-below_top_db), noise.pa[i], is_float);
    double got = rig_levels(&signal).laeq_db;
    signal_clear(&signal);
    signal_clear(&noise);
    return got;
}

void check_linearity(struct sheet *sheet)
{
    sheet_section(
        sheet, "Level linearity", "dB",
        "IEC 61672-1:2013, 5.6: class 1 allows ±0.8 dB (from memory); allowed here a tenth. LAeq of a sine near 1 kHz "
        "in a 24-bit and a 32-bit float file, full scale at 120 dB.");
    sheet_rows_begin(sheet);
    for (int below = 0; below <= SPAN_DB; below += 10)
        for (int is_float = 0; is_float <= 1; is_float++)
            sheet_row(sheet, level_db(below, 997, is_float), TOP_DB - below, 0.08, 0.08, "%s, %d dB below full scale",
                      is_float ? "float" : "24 bit", below);
    sheet_rows_end(sheet);
}
