/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/units.h"
#include "meters/peak.h"

#define COUNT 4000

/* A sine's peak is its amplitude, wherever the samples fall. 48 kHz; the C peak matters up to 16 kHz or so. */
static void sine_peak(double turns_a_sample)
{
    static double room[PEAK_MARGIN + COUNT];
    double *samples = room + PEAK_MARGIN;
    double least = INFINITY, greatest = 0, least_sample = INFINITY;
    for (int phase = 0; phase < 16; phase++) {
        struct peak peak;
        peak_init(&peak);
        double highest_sample = 0;
        for (int i = 0; i < COUNT; i++) {
            double fade = i < 500 ? 0.5 - 0.5 * cos(PI * i / 500.0) : 1;
            samples[i] = fade * sin(2 * PI * (turns_a_sample * i + phase / 32.0));
            highest_sample = fmax(highest_sample, fabs(samples[i]));
        }
        peak_run(&peak, samples, COUNT);
        least = fmin(least, peak.greatest);
        greatest = fmax(greatest, peak.greatest);
        least_sample = fmin(least_sample, highest_sample);
    }
    tap_near(amplitude_ratio_to_db(least), 0, 0.05,
             "sine at %.4f of the rate, least of 16 phases (samples alone: %.2f dB)", turns_a_sample,
             amplitude_ratio_to_db(least_sample));
    tap_near(amplitude_ratio_to_db(greatest), 0, 0.05, "and greatest");
}

static void edges(void)
{
    struct peak peak;
    peak_init(&peak);
    double samples[PEAK_MARGIN + 3] = { [PEAK_MARGIN + 2] = -2 };
    peak_run(&peak, samples + PEAK_MARGIN, 3);
    tap_near(peak.greatest, 2, 0, "the very last sample counts");
    double falling[PEAK_MARGIN + 200];
    for (int i = 0; i < (int)PEAK_MARGIN + 200; i++)
        falling[i] = pow(0.99, i - (int)PEAK_MARGIN);
    peak_init(&peak);
    peak_run(&peak, falling + PEAK_MARGIN, 200);
    tap_near(peak.greatest, 1, 0, "a signal that falls all along: its first sample counts");
}

int main(void)
{
    static const double parts[] = { 0.01, 0.125, 1.0 / 6, 0.2501, 1.0 / 3, 0.4 };
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        sine_peak(parts[i]);
    edges();
    return tap_done();
}
