/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "rig.h"

#include "base/units.h"

#include <math.h>
#include <stdio.h>

/* IEC 61672-1:2013, table 5 (5.13): LCpeak - LC, class 1 limits from memory. Beside it what an ideal C filter gives,
 * which the printed values are not all rounded from: 2.51, 3.53, 3.46, 2.33 dB (computed in the reference tables from
 * the analogue filter's response). */
static const struct {
    const char *name;
    double hz, cycles, sign, reference_db, limit_db, ideal_db;
} table[] = {
    { "one cycle, 31.5 Hz", 31.5, 1, 1, 2.5, 2.0, 2.51 },
    { "one cycle, 500 Hz", 500, 1, 1, 3.5, 1.0, 3.53 },
    { "one cycle, 8 kHz", 8000, 1, 1, 3.4, 2.0, 3.46 },
    { "positive half cycle, 500 Hz", 500, 0.5, 1, 2.4, 1.0, 2.33 },
    { "negative half cycle, 500 Hz", 500, 0.5, -1, 2.4, 1.0, 2.33 },
};

/* The samples of a gated sine that passed an ideal low-pass (a converter's) have no part above half the rate. Here the
 * sine is made at sixteen times the rate, and what lies above is taken away by a long windowed sinc. */
#define FINER 16
#define HALF_TAPS 48
static void add_gated_sine(struct signal *signal, double start_s, double hz, double cycles, double sign)
{
    size_t length = (size_t)(cycles / hz * signal->rate_hz * FINER) + 1, first = (size_t)(start_s * signal->rate_hz);
    for (size_t fine = 0; fine < length; fine++) {
        double time_s = (double)fine / (signal->rate_hz * FINER);
        double value = time_s < cycles / hz ? sign * sin(2 * PI * hz * time_s) / FINER : 0;
        long centre = (long)(fine / FINER);
        for (long i = centre - HALF_TAPS; i <= centre + HALF_TAPS; i++) {
            double x = (double)i - (double)fine / FINER, edge = x / (HALF_TAPS + 1);
            double window = 0.5 + 0.5 * cos(PI * edge);
            signal->pa[(size_t)((long)first + i)] += value * window * (fabs(x) < 1e-9 ? 1 : sin(PI * x) / (PI * x));
        }
    }
}

static double steady_c_db(double rate_hz, double hz)
{
    struct signal signal = signal_whole_sine(rate_hz, hz, sqrt(0.5), 1, 1);
    double level_db = rig_levels(&signal).lceq_db;
    signal_clear(&signal);
    return level_db;
}

static double peak_db(double rate_hz, double hz, double cycles, double sign)
{
    struct signal signal = signal_new(rate_hz, 0.5, 1);
    add_gated_sine(&signal, 0.6, hz, cycles, sign);
    double level_db = rig_levels(&signal).lcpeak_db;
    signal_clear(&signal);
    return level_db;
}

void check_c_peak(struct sheet *sheet)
{
    sheet_section(sheet, "C-weighted peak", "dB",
                  "IEC 61672-1:2013, 5.13, table 5: peak of a single cycle or half cycle re the steady tone's C level. "
                  "Class 1 limits from memory.");
    sheet_rows_begin(sheet);
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
        for (size_t rate = 0; rate < CHECK_RATE_COUNT; rate++) {
            double difference_db = peak_db(check_rates_hz[rate], table[i].hz, table[i].cycles, table[i].sign) -
                                   steady_c_db(check_rates_hz[rate], table[i].hz);
            sheet_row(sheet, difference_db, table[i].reference_db, table[i].limit_db, table[i].limit_db,
                      "%s, rate %s Hz", table[i].name, check_rate_names[rate]);
            /* A band-limited gated sine overshoots by a little at the lowest rates: 0.2 dB, a tenth of the limit. */
            check_within(difference_db, table[i].ideal_db, 0.1 * table[i].limit_db, 0.1 * table[i].limit_db,
                         "and against the ideal filter, within a tenth of the limit");
        }
    sheet_rows_end(sheet);
}
