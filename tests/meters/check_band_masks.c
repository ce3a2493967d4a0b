/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "mask.h"
#include "rig.h"

#include "base/units.h"
#include "meters/band.h"
#include "meters/band_meter.h"

#include <math.h>
#include <stdio.h>

static void band_levels(double rate_hz, int per_octave, double hz, double preroll_s, double seconds,
                        struct figures *out)
{
    struct signal signal = signal_whole_sine(rate_hz, hz, 1, preroll_s, seconds);
    figures_init(out);
    rig_run(per_octave == 3 ? &third_octave_meter : &fraction_meter, &signal, per_octave, 0, out);
    signal_clear(&signal);
}

static const struct bands *bands_of(const struct figures *figures, int per_octave)
{
    return per_octave == 3 ? &figures->third_octave : &figures->bands;
}

/* Least margin of one band over the mask's points that lie below 0.499 of the rate, measured through the whole bank. */
static double band_margin_db(double rate_hz, int per_octave, int index, size_t position)
{
    struct band band = band_make(per_octave, index);
    double width_hz = band.high_hz - band.low_hz, margin_db = INFINITY;
    for (size_t point = 0; point < MASK_POINT_COUNT; point++) {
        double ratio = mask_point_ratio(per_octave, point), hz = band.exact_hz * ratio;
        if (hz >= 0.499 * rate_hz)
            continue;
        /* In the passband tenths of a decibel count, so eight periods; on the skirts the limits are decibels away. */
        bool is_passband = hz > 0.999 * band.low_hz && hz < 1.001 * band.high_hz;
        double seconds =
            is_passband ? fmax(fmax(8 / hz, 3 / width_hz), 0.03) : fmax(fmax(2 / hz, 1.2 / width_hz), 0.02);
        struct figures figures;
        band_levels(rate_hz, per_octave, hz, fmin(10 / width_hz, 0.25 + 3 / width_hz), seconds, &figures);
        double attenuation_db = pa2_to_db(1) - bands_of(&figures, per_octave)->items[position].level_db;
        margin_db = mask_least(margin_db, mask_margin_db(per_octave, ratio, attenuation_db));
        figures_clear(&figures);
    }
    return margin_db;
}

static void show_third_octaves(struct sheet *sheet)
{
    sheet_note(sheet,
               "Third octaves: least margin of each band at the 17 points of the mask, by sines through the whole "
               "decimated bank. 0.40 dB is the width of the mask at mid-band, so no more can be left. Blank: the band "
               "does not fit below 0.44 of the rate and is absent.");
    sheet_matrix_begin(sheet, "Hz", check_rate_names, CHECK_RATE_COUNT);
    for (int index = -17; index <= 13; index++) {
        char label[40];
        snprintf(label, sizeof label, "%.6g", band_nominal_hz(3, index));
        sheet_matrix_row(sheet, label);
        for (size_t rate = 0; rate < CHECK_RATE_COUNT; rate++) {
            int first = 0;
            size_t count = 0;
            band_range(3, check_rates_hz[rate], &first, &count);
            if (index >= first + (int)count)
                sheet_cell_empty(sheet);
            else
                sheet_cell(sheet, band_margin_db(check_rates_hz[rate], 3, index, (size_t)(index - first)), 0, 0,
                           INFINITY, "class 1 mask, %s Hz band, rate %s", label, check_rate_names[rate]);
        }
        sheet_matrix_row_end(sheet);
    }
    sheet_matrix_end(sheet);
}

/* Of the other fractions the two lowest bands that differ in their place within an octave, one in the middle, and all
 * of the top third of an octave, where the bilinear transform bends most. */
static void show_fraction(struct sheet *sheet, int per_octave, size_t rate)
{
    int first = 0;
    size_t count = 0;
    band_range(per_octave, check_rates_hz[rate], &first, &count);
    size_t top = per_octave >= 6 ? (size_t)per_octave / 3 : 1, low = per_octave >= 12 ? (size_t)per_octave : 0;
    double worst_db = INFINITY;
    for (size_t i = low; i < count; i++) {
        bool is_chosen = i == low || i == low + 1 || i == count / 2 || i + top >= count;
        if (is_chosen)
            worst_db = mask_least(worst_db, band_margin_db(check_rates_hz[rate], per_octave, first + (int)i, i));
    }
    sheet_cell(sheet, worst_db, 0, 0, INFINITY, "class 1 mask, 1/%d octave, rate %s", per_octave,
               check_rate_names[rate]);
}

static void show_fractions(struct sheet *sheet)
{
    static const int fractions[] = { 1, 6, 12, 24 };
    static const char *const columns[] = { "1/1", "1/6", "1/12", "1/24" };
    sheet_note(sheet, "Other fractions: least margin of the lowest, a middle and the highest bands.");
    sheet_matrix_begin(sheet, "rate, Hz", columns, 4);
    for (size_t rate = 0; rate < CHECK_RATE_COUNT && rate < 3; rate++) {
        sheet_matrix_row(sheet, check_rate_names[rate]);
        for (size_t i = 0; i < 4; i++)
            show_fraction(sheet, fractions[i], rate);
        sheet_matrix_row_end(sheet);
    }
    sheet_matrix_end(sheet);
}

/* 5.15: what lies far above a band, and would fold onto it when the rate is halved, is 70 dB down. */
static void show_folding(struct sheet *sheet)
{
    sheet_note(sheet,
               "Folding: sines from 1 kHz up to 0.49 of 48 kHz, least attenuation in all bands that lie more than "
               "G^4 away (at least 70 dB).");
    double least_db = INFINITY;
    for (double hz = 1000; hz < 0.49 * 48000; hz *= 1.087) {
        struct figures figures;
        band_levels(48000, 3, hz, 3, 0.5, &figures);
        for (size_t i = 0; i < figures.third_octave.count; i++)
            if (hz / figures.third_octave.items[i].exact_hz > mask_point_ratio(3, MASK_POINT_COUNT - 1))
                least_db = mask_least(least_db, pa2_to_db(1) - figures.third_octave.items[i].level_db);
        figures_clear(&figures);
    }
    sheet_rows_begin(sheet);
    sheet_row(sheet, least_db, 70, 0, INFINITY, "least attenuation far above a band");
    sheet_rows_end(sheet);
}

/* 5.16: a sine anywhere between neighbouring mid-frequencies, the outputs added up. */
static void show_sums(struct sheet *sheet)
{
    double least_db = INFINITY, greatest_db = -INFINITY;
    for (int step = -26; step <= 48; step++) {
        double hz = 1000 * pow(10, 0.1 * step / 4), sum_pa2 = 0;
        struct figures figures;
        band_levels(48000, 3, hz, 40 / hz, fmax(12 / hz, 0.05), &figures);
        for (size_t i = 0; i < figures.third_octave.count; i++) {
            double ratio = figures.third_octave.items[i].exact_hz / hz;
            sum_pa2 += ratio > 0.6 && ratio < 1.7 ? db_to_pa2(figures.third_octave.items[i].level_db) : 0;
        }
        figures_clear(&figures);
        least_db = mask_least(least_db, power_ratio_to_db(sum_pa2));
        greatest_db = -mask_least(-greatest_db, -power_ratio_to_db(sum_pa2));
    }
    sheet_note(
        sheet,
        "Sum of the outputs for sines at quarters of the way between mid-frequencies, re the input (5.16, limits "
        "from memory).");
    sheet_rows_begin(sheet);
    sheet_row(sheet, least_db, 0, 1.8, 0.8, "least");
    sheet_row(sheet, greatest_db, 0, 1.8, 0.8, "greatest");
    sheet_rows_end(sheet);
}

void check_band_masks(struct sheet *sheet)
{
    sheet_section(sheet, "Band filters", "dB",
                  "IEC 61260-1:2014, 5.10, table 1, class 1 (from memory; every limit is at least as strict in the "
                  "1995 edition's print except at mid-band).");
    show_third_octaves(sheet);
    show_fractions(sheet);
    show_folding(sheet);
    show_sums(sheet);
}
