/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_PEAK_H
#define THRUM_METERS_PEAK_H

/* The greatest absolute value of a signal, also between its samples (C peak: IEC 61672-1:2013, 5.13, is taken on the
 * continuous waveform). Around every local maximum of the samples that could hide a higher crest (at least half the
 * peak so far, which is where a crest can be for parts below a third of the rate, and pointed enough) the signal is
 * interpolated at eighths of a sample by a Kaiser-windowed sinc of 24 taps, and a parabola is laid through the highest
 * three values. Measured error for sines up to 0.4 of the rate: below 0.05 dB (tests/meters/peak.c). The last
 * PEAK_HALF_TAPS samples count as they are, and so does the first. */

#include <stddef.h>

#define PEAK_HALF_TAPS 12
#define PEAK_PHASES 8
#define PEAK_MARGIN ((size_t)(2 * PEAK_HALF_TAPS))

struct peak {
    double taps[PEAK_PHASES][2 * PEAK_HALF_TAPS];
    double greatest;
};

void peak_init(struct peak *peak);

/* `samples` are preceded by PEAK_MARGIN of the past, the later half of which has not been looked between yet. */
void peak_run(struct peak *peak, const double *samples, size_t frame_count);

#endif
