/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"

#include "meters/band.h"

#include <math.h>
#include <stdio.h>

/* IEC 61260-1:2014, 5.2 to 5.6 and ISO 266:1997: per octave, index x, nominal and exact mid-frequency, edges. Those of
 * the third octaves were seen in print (a calibration certificate); five decimals. */
static const struct {
    int per_octave, index;
    double nominal_hz, mid_hz, low_hz, high_hz;
} table[] = {
    /* clang-format off */
    { 1, -5, 31.5, 31.62278, 22.38721, 44.66836 },
    { 1, -4, 63, 63.09573, 44.66836, 89.12509 },
    { 1, -3, 125, 125.89254, 89.12509, 177.82794 },
    { 1, -2, 250, 251.18864, 177.82794, 354.81339 },
    { 1, -1, 500, 501.18723, 354.81339, 707.94578 },
    { 1, 0, 1000, 1000.00000, 707.94578, 1412.53754 },
    { 1, 1, 2000, 1995.26231, 1412.53754, 2818.38293 },
    { 1, 2, 4000, 3981.07171, 2818.38293, 5623.41325 },
    { 1, 3, 8000, 7943.28235, 5623.41325, 11220.18454 },
    { 1, 4, 16000, 15848.93192, 11220.18454, 22387.21139 },
    { 3, -17, 20, 19.95262, 17.78279, 22.38721 },
    { 3, -16, 25, 25.11886, 22.38721, 28.18383 },
    { 3, -15, 31.5, 31.62278, 28.18383, 35.48134 },
    { 3, -14, 40, 39.81072, 35.48134, 44.66836 },
    { 3, -13, 50, 50.11872, 44.66836, 56.23413 },
    { 3, -12, 63, 63.09573, 56.23413, 70.79458 },
    { 3, -11, 80, 79.43282, 70.79458, 89.12509 },
    { 3, -10, 100, 100.00000, 89.12509, 112.20185 },
    { 3, -9, 125, 125.89254, 112.20185, 141.25375 },
    { 3, -8, 160, 158.48932, 141.25375, 177.82794 },
    { 3, -7, 200, 199.52623, 177.82794, 223.87211 },
    { 3, -6, 250, 251.18864, 223.87211, 281.83829 },
    { 3, -5, 315, 316.22777, 281.83829, 354.81339 },
    { 3, -4, 400, 398.10717, 354.81339, 446.68359 },
    { 3, -3, 500, 501.18723, 446.68359, 562.34133 },
    { 3, -2, 630, 630.95734, 562.34133, 707.94578 },
    { 3, -1, 800, 794.32823, 707.94578, 891.25094 },
    { 3, 0, 1000, 1000.00000, 891.25094, 1122.01845 },
    { 3, 1, 1250, 1258.92541, 1122.01845, 1412.53754 },
    { 3, 2, 1600, 1584.89319, 1412.53754, 1778.27941 },
    { 3, 3, 2000, 1995.26231, 1778.27941, 2238.72114 },
    { 3, 4, 2500, 2511.88643, 2238.72114, 2818.38293 },
    { 3, 5, 3150, 3162.27766, 2818.38293, 3548.13389 },
    { 3, 6, 4000, 3981.07171, 3548.13389, 4466.83592 },
    { 3, 7, 5000, 5011.87234, 4466.83592, 5623.41325 },
    { 3, 8, 6300, 6309.57344, 5623.41325, 7079.45784 },
    { 3, 9, 8000, 7943.28235, 7079.45784, 8912.50938 },
    { 3, 10, 10000, 10000.00000, 8912.50938, 11220.18454 },
    { 3, 11, 12500, 12589.25412, 11220.18454, 14125.37545 },
    { 3, 12, 16000, 15848.93192, 14125.37545, 17782.79410 },
    { 3, 13, 20000, 19952.62315, 17782.79410, 22387.21139 },
    /* clang-format on */
};

/* Narrower bands, common worked cases of the rule for nominal names (from memory). */
static const struct {
    double exact_hz, nominal_hz;
} rounding[] = { { 41.567, 41.6 }, { 785.2, 790 } };

static void show_table(struct sheet *sheet)
{
    sheet_rows_begin(sheet);
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        struct band band = band_make(table[i].per_octave, table[i].index);
        sheet_row(sheet, band.exact_hz, table[i].mid_hz, 6e-6, 6e-6, "1/%d, x = %d: mid-frequency", table[i].per_octave,
                  table[i].index);
        char label[80];
        snprintf(label, sizeof label, "1/%d, x = %d: nominal", table[i].per_octave, table[i].index);
        check_within(band.nominal_hz, table[i].nominal_hz, 1e-9 * band.nominal_hz, 1e-9 * band.nominal_hz, label);
        check_within(band.low_hz, table[i].low_hz, 6e-6, 6e-6, "its lower edge");
        check_within(band.high_hz, table[i].high_hz, 6e-6, 6e-6, "its upper edge");
    }
    sheet_rows_end(sheet);
}

/* Every narrow band's name lies within half a step of the digits that the rule keeps, and the bands of an even fraction
 * share their edges with the third octaves: x of 1/3 has the lower edge of x b / 3 of 1/b. */
static void check_narrow_bands(void)
{
    static const int fractions[] = { 6, 12, 24 };
    for (size_t i = 0; i < 3; i++) {
        double worst = 0, worst_name = 0;
        for (int x = -17; x <= 13; x++) {
            double edge_hz = band_make(3, x).low_hz,
                   same_hz = band_make(fractions[i], (2 * x - 1) * fractions[i] / 6).low_hz;
            worst = fmax(worst, fabs(same_hz / edge_hz - 1));
        }
        for (int x = -6 * fractions[i]; x < 5 * fractions[i]; x++) {
            double mid_hz = band_mid_hz(fractions[i], x);
            worst_name = fmax(worst_name, fabs(band_nominal_hz(fractions[i], x) / mid_hz - 1));
        }
        char label[80];
        snprintf(label, sizeof label, "1/%d: edges fall on those of the third octaves", fractions[i]);
        check_within(worst, 0, 0, 1e-12, label);
        snprintf(label, sizeof label, "1/%d: names are off by at most half a kept digit, 1 %% at 5.0", fractions[i]);
        check_within(worst_name, 0, 0, 0.5 / 50, label);
    }
}

static void check_rounding(void)
{
    for (size_t i = 0; i < sizeof rounding / sizeof rounding[0]; i++) {
        double nearest = INFINITY;
        for (int x = -150; x <= 150; x++)
            if (fabs(band_mid_hz(24, x) - rounding[i].exact_hz) < fabs(nearest - rounding[i].exact_hz))
                nearest = band_mid_hz(24, x);
        for (int x = -150; x <= 150; x++)
            if (fabs(band_mid_hz(24, x) - nearest) < 1e-9 && fabs(nearest / rounding[i].exact_hz - 1) < 1e-4)
                check_within(band_nominal_hz(24, x), rounding[i].nominal_hz, 1e-9, 1e-9, "1/24: a worked case");
    }
}

static void check_range(void)
{
    int first = 0;
    size_t count = 0;
    band_range(3, 48000, &first, &count);
    check_within(first, -17, 0, 0, "third octaves start at 20 Hz");
    check_within((double)count, 30, 0, 0,
                 "at 48 kHz the 20 kHz band (edge 22.4 kHz) does not fit below 0.44 of the rate");
    band_range(3, 8000, &first, &count);
    check_within((double)count, 22, 0, 0, "at 8 kHz the bands end at 2.5 kHz");
    band_range(1, 96000, &first, &count);
    check_within(first, -5, 0, 0, "octaves start at 31.5 Hz");
    check_within((double)count, 10, 0, 0, "and end at 16 kHz");
}

void check_band_table(struct sheet *sheet)
{
    sheet_section(sheet, "Mid-band frequencies", "Hz", "IEC 61260-1:2014, 5.2 to 5.6, base ten.");
    show_table(sheet);
    check_narrow_bands();
    check_rounding();
    check_range();
}
