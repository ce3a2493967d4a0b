/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/loudness_time.h"
#include "signals.h"

/* ISO 226:2003, table 1 and clause 4.1 (parameters from memory). */
static const struct {
    double hz, exponent, transfer_db, threshold_db;
} iso226[] = {
    { 100, 0.367, -8.1, 26.5 }, { 125, 0.349, -6.2, 22.1 },  { 160, 0.330, -4.5, 17.9 }, { 200, 0.315, -3.1, 14.4 },
    { 250, 0.301, -2.0, 11.4 }, { 315, 0.288, -1.1, 8.6 },   { 400, 0.276, -0.4, 6.2 },  { 500, 0.267, 0.0, 4.4 },
    { 630, 0.259, 0.3, 3.0 },   { 800, 0.253, 0.5, 2.2 },    { 1000, 0.250, 0.0, 2.4 },  { 1250, 0.246, -2.7, 3.5 },
    { 1600, 0.244, -4.1, 1.7 }, { 2000, 0.243, -1.0, -1.3 }, { 2500, 0.243, 1.7, -4.2 }, { 3150, 0.243, 2.5, -6.0 },
    { 4000, 0.242, 1.2, -5.4 }, { 5000, 0.242, -2.1, -1.5 }, { 6300, 0.245, -7.1, 6.0 }, { 8000, 0.254, -11.2, 12.6 },
};
#define ROW_COUNT (sizeof iso226 / sizeof iso226[0])

static double contour_db(size_t row, double phon)
{
    double a = iso226[row].exponent;
    double threshold = db_to_power_ratio(iso226[row].threshold_db + iso226[row].transfer_db - 90 + 10 * log10(0.4));
    double loudness = 4.47e-3 * (db_to_power_ratio(0.25 * phon) - 1.15) + pow(threshold, a);
    return power_ratio_to_db(loudness) / a - iso226[row].transfer_db + 94;
}

/* Plausibility only: ISO 532-1 is another model and follows the equal-loudness contours of ISO 226:1987. From those the
 * contours of 2003 differ by up to about 15 dB, always towards less loud low tones (introduction of ISO 226:2003, from
 * memory); 3 phon can be asked where both agree, 500 Hz to 1 kHz, and nowhere may a tone come out more than 3 phon
 * below its contour. */
int main(void)
{
    for (double phon = 40; phon <= 80; phon += 20)
        for (size_t row = 0; row < ROW_COUNT; row++) {
            struct signal signal = signal_new(48000, 1.2);
            struct figures figures;
            add_tone(&signal, iso226[row].hz, contour_db(row, phon));
            struct meter_setup setup = setup_of(&signal);
            if (!run_meter(&loudness_meter, &setup, &signal, 8192, &figures))
                return 1;
            bool do_agree = iso226[row].hz >= 500 && iso226[row].hz <= 1000;
            tap_within(figures.hearing.loudness_level_phon, phon, 3, do_agree ? 3 : 15,
                       "%g Hz on the %g phon contour, phon", iso226[row].hz, phon);
            figures_clear(&figures);
            free(signal.pa);
        }
    return tap_done();
}
