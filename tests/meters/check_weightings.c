/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "rig.h"

#include "base/units.h"
#include "meters/weighting.h"

#include <math.h>
#include <stdio.h>

/* IEC 61672-1:2013, table 3: band number, nominal frequency, A, C (Z is 0), and the class 1 acceptance limits (limits
 * from memory; they agree with the 2002 edition's less its laboratory uncertainty). The values are those at the exact
 * frequencies 10^(n/10) Hz. */
static const struct {
    int n;
    double nominal_hz, a_db, c_db, above_db, below_db;
} table[] = {
    /* clang-format off */
    { 10, 10, -70.4, -14.3, 3.0, INFINITY },
    { 11, 12.5, -63.4, -11.2, 2.5, INFINITY },
    { 12, 16, -56.7, -8.5, 2.0, 4.0 },
    { 13, 20, -50.5, -6.2, 2.0, 2.0 },
    { 14, 25, -44.7, -4.4, 2.0, 1.5 },
    { 15, 31.5, -39.4, -3.0, 1.5, 1.5 },
    { 16, 40, -34.6, -2.0, 1.0, 1.0 },
    { 17, 50, -30.2, -1.3, 1.0, 1.0 },
    { 18, 63, -26.2, -0.8, 1.0, 1.0 },
    { 19, 80, -22.5, -0.5, 1.0, 1.0 },
    { 20, 100, -19.1, -0.3, 1.0, 1.0 },
    { 21, 125, -16.1, -0.2, 1.0, 1.0 },
    { 22, 160, -13.4, -0.1, 1.0, 1.0 },
    { 23, 200, -10.9, 0.0, 1.0, 1.0 },
    { 24, 250, -8.6, 0.0, 1.0, 1.0 },
    { 25, 315, -6.6, 0.0, 1.0, 1.0 },
    { 26, 400, -4.8, 0.0, 1.0, 1.0 },
    { 27, 500, -3.2, 0.0, 1.0, 1.0 },
    { 28, 630, -1.9, 0.0, 1.0, 1.0 },
    { 29, 800, -0.8, 0.0, 1.0, 1.0 },
    { 30, 1000, 0.0, 0.0, 0.7, 0.7 },
    { 31, 1250, 0.6, 0.0, 1.0, 1.0 },
    { 32, 1600, 1.0, -0.1, 1.0, 1.0 },
    { 33, 2000, 1.2, -0.2, 1.0, 1.0 },
    { 34, 2500, 1.3, -0.3, 1.0, 1.0 },
    { 35, 3150, 1.2, -0.5, 1.0, 1.0 },
    { 36, 4000, 1.0, -0.8, 1.0, 1.0 },
    { 37, 5000, 0.5, -1.3, 1.5, 1.5 },
    { 38, 6300, -0.1, -2.0, 1.5, 2.0 },
    { 39, 8000, -1.1, -3.0, 1.5, 2.5 },
    { 40, 10000, -2.5, -4.4, 2.0, 3.0 },
    { 41, 12500, -4.3, -6.2, 2.0, 5.0 },
    { 42, 16000, -6.6, -8.5, 2.5, 16.0 },
    { 43, 20000, -9.3, -11.2, 3.0, INFINITY },
    /* clang-format on */
};
#define TABLE_COUNT (sizeof table / sizeof table[0])

static double exact_hz(size_t row)
{
    return pow(10, table[row].n / 10.0);
}

/* Annex E of the standard, from its four defining frequencies; nothing is shared with the filters. */
static double annex_e_db(double hz, bool is_a)
{
    double f = hz * hz, r = 1e6, l = pow(10, 3.0), h = pow(10, 7.8), d = sqrt(0.5);
    double b = (r + l * h / r - d * (l + h)) / (1 - d), root = sqrt(b * b - 4 * l * h);
    double f1 = (-b - root) / 2, f4 = (-b + root) / 2;
    double fa = pow(10, 2.45), f2 = pow((3 - sqrt(5)) / 2 * fa, 2), f3 = pow((3 + sqrt(5)) / 2 * fa, 2);
    double c = pow(f4 * f / ((f + fabs(f1)) * (f + fabs(f4))), 2);
    return 10 * log10(is_a ? c * f * f / ((f + f2) * (f + f3)) : c);
}

static double goal_db(enum weighting weighting, double hz)
{
    if (weighting == WEIGHTING_Z)
        return 0;
    bool is_a = weighting == WEIGHTING_A;
    return annex_e_db(hz, is_a) - annex_e_db(1000, is_a);
}

static double highest_hz(double rate_hz)
{
    return fmin(20000, 0.45 * rate_hz);
}

/* Gains of the level meter for a sine at each frequency of the table; NAN above what the rate holds. */
struct gains {
    double db[3][TABLE_COUNT][CHECK_RATE_COUNT];
};

static void measure(struct gains *gains)
{
    for (size_t rate = 0; rate < CHECK_RATE_COUNT; rate++)
        for (size_t row = 0; row < TABLE_COUNT; row++) {
            for (size_t w = 0; w < 3; w++)
                gains->db[w][row][rate] = NAN;
            if (exact_hz(row) > highest_hz(check_rates_hz[rate]))
                continue;
            double seconds = row < 12 ? 1 : 0.2, preroll_s = row < 12 ? 1 : 0.6;
            struct signal sine = signal_whole_sine(check_rates_hz[rate], exact_hz(row), 1, preroll_s, seconds);
            struct levels levels = rig_levels(&sine);
            gains->db[WEIGHTING_A][row][rate] = levels.laeq_db - pa2_to_db(1);
            gains->db[WEIGHTING_C][row][rate] = levels.lceq_db - pa2_to_db(1);
            gains->db[WEIGHTING_Z][row][rate] = levels.lzeq_db - pa2_to_db(1);
            signal_clear(&sine);
        }
}

static const char *const names[] = { "A", "C", "Z" };

static void show_deviations(struct sheet *sheet, const struct gains *gains, enum weighting weighting)
{
    sheet_note(sheet,
               "%s, deviation from the analytic curve for sines of 1 Pa through the level meter; allowed ±0.1 dB.",
               names[weighting]);
    sheet_matrix_begin(sheet, "Hz", check_rate_names, CHECK_RATE_COUNT);
    for (size_t row = 0; row < TABLE_COUNT; row++) {
        char label[40];
        snprintf(label, sizeof label, "%.6g", table[row].nominal_hz);
        sheet_matrix_row(sheet, label);
        for (size_t rate = 0; rate < CHECK_RATE_COUNT; rate++) {
            if (isnan(gains->db[weighting][row][rate]) && exact_hz(row) > highest_hz(check_rates_hz[rate]))
                sheet_cell_empty(sheet);
            else
                sheet_cell(sheet, gains->db[weighting][row][rate], goal_db(weighting, exact_hz(row)), 0.1, 0.1,
                           "%s at %.6g Hz, rate %s", names[weighting], table[row].nominal_hz, check_rate_names[rate]);
        }
        sheet_matrix_row_end(sheet);
    }
    sheet_matrix_end(sheet);
}

/* The rate that is furthest from the table's value. */
static double worst_of_rates(const struct gains *gains, enum weighting weighting, size_t row, double goal)
{
    double worst = goal;
    for (size_t rate = 0; rate < CHECK_RATE_COUNT; rate++)
        if (fabs(gains->db[weighting][row][rate] - goal) > fabs(worst - goal))
            worst = gains->db[weighting][row][rate];
    return worst;
}

static void show_limits(struct sheet *sheet, const struct gains *gains, enum weighting weighting)
{
    sheet_note(sheet, "%s against table 3 and its class 1 acceptance limits, the worst of the rates.",
               names[weighting]);
    sheet_rows_begin(sheet);
    for (size_t row = 0; row < TABLE_COUNT; row++) {
        double goal = weighting == WEIGHTING_A ? table[row].a_db : weighting == WEIGHTING_C ? table[row].c_db : 0;
        sheet_row(sheet, worst_of_rates(gains, weighting, row, goal), goal, table[row].below_db, table[row].above_db,
                  "%s at %.6g Hz", names[weighting], table[row].nominal_hz);
    }
    sheet_rows_end(sheet);
}

/* Between the table's frequencies, and at rates that recorders seldom use: the response of the coefficients. */
static void show_all_frequencies(struct sheet *sheet)
{
    static const double rates_hz[] = { 8000,  11025, 16000, 22050, 24000, 32000, 37800,  44100,  47952,
                                       48000, 50000, 51200, 64000, 88200, 96000, 176400, 192000, 384000 };
    sheet_note(sheet,
               "Largest deviation of the filters' response from the analytic curve, 10 Hz to the smaller of 20 kHz "
               "and 0.45 of the rate in steps of 0.2 %%; allowed 0.1 dB.");
    sheet_matrix_begin(sheet, "rate, Hz", names, 3);
    for (size_t i = 0; i < sizeof rates_hz / sizeof rates_hz[0]; i++) {
        struct weighting_filter filter;
        struct err err = { 0 };
        bool is_made = weighting_init(&filter, rates_hz[i], &err);
        char label[40];
        snprintf(label, sizeof label, "%.0f", rates_hz[i]);
        sheet_matrix_row(sheet, label);
        for (enum weighting weighting = WEIGHTING_A; weighting <= WEIGHTING_Z; weighting++) {
            double worst = is_made ? 0 : NAN;
            for (double hz = 10; is_made && hz <= highest_hz(rates_hz[i]); hz *= 1.002)
                worst = fmax(worst,
                             fabs(weighting_filter_db(&filter.coefficients, weighting, hz) - goal_db(weighting, hz)));
            sheet_cell(sheet, worst, 0, 0, 0.1, "%s at all frequencies, rate %.0f Hz", names[weighting], rates_hz[i]);
        }
        sheet_matrix_row_end(sheet);
    }
    sheet_matrix_end(sheet);
}

void check_weightings(struct sheet *sheet)
{
    static struct gains gains;
    sheet_section(
        sheet, "Frequency weightings", "dB",
        "IEC 61672-1:2013, 5.5, table 3 and annex E, at the exact frequencies 10^(n/10) Hz. Class 1 limits from "
        "memory, supported by the 2002 edition's.");
    measure(&gains);
    for (enum weighting weighting = WEIGHTING_A; weighting <= WEIGHTING_Z; weighting++) {
        show_deviations(sheet, &gains, weighting);
        show_limits(sheet, &gains, weighting);
    }
    show_all_frequencies(sheet);
}
