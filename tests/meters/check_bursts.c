/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "rig.h"

#include "base/units.h"
#include "meters/detector.h"

#include <math.h>
#include <string.h>

/* IEC 61672-1:2013, table 4 (5.9): 4 kHz bursts; reference response re the steady level, class 1 limits. The references
 * are 10 lg(1 - exp(-T/tau)) and 10 lg(T / 1 s), which the checks use: printed values are rounded to 0.1 dB. */
struct burst {
    double burst_ms, reference_db, above_db, below_db;
};

/* clang-format off */
static const struct burst fast[] = {
    { 1000, 0.0, 0.5, 0.5 },
    { 500, -0.1, 0.5, 0.5 },
    { 200, -1.0, 0.5, 0.5 },
    { 100, -2.6, 1.0, 1.0 },
    { 50, -4.8, 1.0, 1.0 },
    { 20, -8.3, 1.0, 1.0 },
    { 10, -11.1, 1.0, 1.0 },
    { 5, -14.1, 1.0, 1.0 },
    { 2, -18.0, 1.0, 1.5 },
    { 1, -21.0, 1.0, 2.0 },
    { 0.5, -24.0, 1.0, 2.5 },
    { 0.25, -27.0, 1.0, 3.0 },
};
static const struct burst exposure[] = {
    { 1000, 0.0, 0.5, 0.5 },
    { 500, -3.0, 0.5, 0.5 },
    { 200, -7.0, 0.5, 0.5 },
    { 100, -10.0, 1.0, 1.0 },
    { 50, -13.0, 1.0, 1.0 },
    { 20, -17.0, 1.0, 1.0 },
    { 10, -20.0, 1.0, 1.0 },
    { 5, -23.0, 1.0, 1.0 },
    { 2, -27.0, 1.0, 1.5 },
    { 1, -30.0, 1.0, 2.0 },
    { 0.5, -33.0, 1.0, 2.5 },
    { 0.25, -36.0, 1.0, 3.0 },
};
static const struct burst slow[] = {
    { 1000, -2.0, 0.5, 0.5 },
    { 500, -4.1, 0.5, 0.5 },
    { 200, -7.4, 0.5, 0.5 },
    { 100, -10.2, 1.0, 1.0 },
    { 50, -13.1, 1.0, 1.0 },
    { 20, -17.0, 1.0, 1.5 },
    { 10, -20.0, 1.0, 2.0 },
    { 5, -23.0, 1.0, 2.5 },
    { 2, -27.0, 1.0, 3.0 },
};
/* clang-format on */

#define BURST_HZ 4000.0
#define RATE_HZ 48000.0
#define SILENCE_S 12.0 /* the detectors' rule for the start has then no weight left */

/* 94 dB while it lasts, starting and ending at a zero crossing (the durations are whole periods). */
static struct levels burst_levels(double seconds)
{
    struct signal signal = signal_new(RATE_HZ, 0, SILENCE_S + seconds + 2);
    for (size_t i = 0; i < (size_t)lround(seconds * RATE_HZ); i++)
        signal.pa[(size_t)(SILENCE_S * RATE_HZ) + i] = sqrt(2) * sin(2 * PI * BURST_HZ / RATE_HZ * (double)i);
    struct levels levels = rig_levels(&signal);
    signal_clear(&signal);
    return levels;
}

static double steady_level_db(void)
{
    struct signal signal = signal_whole_sine(RATE_HZ, BURST_HZ, 1, 0.5, 1);
    double level_db = rig_levels(&signal).laeq_db;
    signal_clear(&signal);
    return level_db;
}

static double exact_db(double seconds, double constant_s)
{
    return constant_s > 0 ? 10 * log10(1 - exp(-seconds / constant_s)) : 10 * log10(seconds);
}

static void show(struct sheet *sheet, const char *name, const struct burst *rows, size_t count, double constant_s)
{
    sheet_note(sheet, "%s: against the definition, allowed a tenth of the class 1 limits.", name);
    sheet_rows_begin(sheet);
    double steady_db = steady_level_db();
    for (size_t i = 0; i < count; i++) {
        double seconds = rows[i].burst_ms / 1000, exact = exact_db(seconds, constant_s);
        struct levels levels = burst_levels(seconds);
        double got_db = constant_s == 0 ? levels.lae_db : constant_s < 1 ? levels.lafmax_db : levels.lasmax_db;
        sheet_row(sheet, got_db - steady_db, exact, 0.1 * rows[i].below_db, 0.1 * rows[i].above_db, "%s, %.6g ms", name,
                  rows[i].burst_ms);
        check_within(exact, rows[i].reference_db, 0.05, 0.05, "the definition against the printed reference");
    }
    sheet_rows_end(sheet);
}

/* Decay after a steady 4 kHz tone stops, 5.8.2: from the reading at two times, 20 time constants after the tone began,
 * when the rule for the start has no weight left. */
static double decay_db_s(double constant_s)
{
    const size_t hop = 24;
    const double hop_s = (double)hop / RATE_HZ;
    struct detector detector;
    detector_init(&detector, constant_s, hop_s);
    for (size_t i = 0; (double)i * hop_s < 20 * constant_s; i++) {
        double sum = 0;
        for (size_t n = i * hop; n < (i + 1) * hop; n++)
            sum += pow(sin(2 * PI * fmod(BURST_HZ / RATE_HZ * (double)n, 1)), 2);
        detector_step(&detector, sum / (double)hop);
    }
    double first_db = pa2_to_db(detector_reading_pa2(&detector));
    size_t silent_hops = (size_t)lround(2 * constant_s / hop_s);
    for (size_t i = 0; i < silent_hops; i++)
        detector_step(&detector, 0);
    return (first_db - pa2_to_db(detector_reading_pa2(&detector))) / ((double)silent_hops * hop_s);
}

void check_bursts(struct sheet *sheet)
{
    sheet_section(sheet, "Tone bursts", "dB",
                  "IEC 61672-1:2013, 5.9, table 4: 4 kHz, level re the steady tone's. Some references and the class 1 "
                  "limits are from memory; the references follow from the definition.");
    show(sheet, "LAFmax", fast, sizeof fast / sizeof fast[0], 0.125);
    show(sheet, "LASmax", slow, sizeof slow / sizeof slow[0], 1);
    show(sheet, "LAE", exposure, sizeof exposure / sizeof exposure[0], 0);
    sheet_section(sheet, "Decay of F and S", "dB/s",
                  "IEC 61672-1:2013, 5.8.2: after a steady 4 kHz tone stops (limits from "
                  "memory; allowed here: a tenth).");
    sheet_rows_begin(sheet);
    sheet_row(sheet, decay_db_s(DETECTOR_FAST_S), 10 * log10(exp(1)) / 0.125, 0.37, 0.38, "F");
    sheet_row(sheet, decay_db_s(DETECTOR_SLOW_S), 10 * log10(exp(1)), 0.07, 0.08, "S");
    sheet_rows_end(sheet);
}
