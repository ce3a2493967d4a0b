/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_HEARING_SPECTRA_H
#define THRUM_TESTS_HEARING_SPECTRA_H

/* Averaged spectra for tests: of a signal (Hann, half overlap), or made line by line without any randomness. The lines
 * are freed by the caller. */

#include "base/fft.h"
#include "signals.h"

#include <complex.h>

static inline struct spectrum spectrum_of(const struct signal *signal, size_t points)
{
    struct err err;
    struct fft *fft = fft_new(points, &err);
    double *window = calloc(points, sizeof *window);
    struct spectrum spectrum = { .step_hz = signal->rate_hz / (double)points,
                                 .sample_rate_hz = signal->rate_hz,
                                 .enbw_lines = 1.5,
                                 .block_frames = points,
                                 .count = points / 2 + 1 };
    spectrum.pa2 = calloc(spectrum.count, sizeof *spectrum.pa2);
    if (!fft || !window || !spectrum.pa2)
        abort();
    fft_hann(window, points);
    for (size_t from = 0; from + points <= signal->count; from += points / 2, spectrum.block_count++) {
        for (size_t i = 0; i < points; i++)
            fft->signal[i] = window[i] * signal->pa[from + i];
        fft_forward(fft);
        for (size_t k = 0; k < spectrum.count; k++) /* a sine's line: amplitude * points / 4 */
            spectrum.pa2[k] += 0.5 * pow(cabs(fft->lines[k]) * 4 / (double)points, 2);
    }
    for (size_t k = 0; k < spectrum.count; k++)
        spectrum.pa2[k] /= (double)spectrum.block_count;
    fft_free(fft);
    free(window);
    return spectrum;
}

/* Flat noise of a density, dB re (20 uPa)^2/Hz. */
static inline struct spectrum flat_spectrum(double step_hz, size_t count, double density_db)
{
    struct spectrum spectrum = { .step_hz = step_hz,
                                 .sample_rate_hz = 2 * step_hz * (double)(count - 1),
                                 .enbw_lines = 1.5,
                                 .block_frames = 2 * (count - 1),
                                 .block_count = 1,
                                 .count = count };
    spectrum.pa2 = calloc(count, sizeof *spectrum.pa2);
    if (!spectrum.pa2)
        abort();
    for (size_t k = 0; k < count; k++)
        spectrum.pa2[k] = db_to_pa2(density_db) * step_hz * spectrum.enbw_lines;
    return spectrum;
}

/* Adds a tone on line k: its lines are 1, 1/4, 1/4 of its power. */
static inline void add_line(struct spectrum *spectrum, size_t k, double level_db)
{
    spectrum->pa2[k] += db_to_pa2(level_db);
    spectrum->pa2[k - 1] += 0.25 * db_to_pa2(level_db);
    spectrum->pa2[k + 1] += 0.25 * db_to_pa2(level_db);
}

#endif
