/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/half_band.h"

#include "base/clones.h"
#include "base/units.h"
#include "meters/kaiser.h"

#include <string.h>

void half_band_init(struct half_band *filter, size_t pairs, double stop_db)
{
    *filter = (struct half_band){ .pairs = pairs };
    double beta = 0.1102 * (stop_db - 8.7); /* Kaiser 1974, for more than 50 dB */
    double reach = (double)(2 * pairs), sum = 0.5;
    for (size_t i = 0; i < pairs; i++) {
        double offset = (double)(2 * i + 1), place = offset / reach;
        double ideal = (i % 2 == 0 ? 1 : -1) / (PI * offset);
        filter->tap[i] = ideal * kaiser_window(place, beta) / kaiser_window(0, beta);
        sum += 2 * filter->tap[i];
    }
    for (size_t i = 0; i < pairs; i++) /* unity gain at 0 Hz, the middle tap stays 1/2 */
        filter->tap[i] *= 0.5 / (sum - 0.5);
}

/* With x the input, c the middle: out[n] = x[c] / 2 + sum of tap[i] (x[c - 2i - 1] + x[c + 2i + 1]), c odd. */
WITH_CLONES void half_band_run(struct half_band *filter, const double *in, size_t count, double *out)
{
    size_t pairs = filter->pairs, history = 2 * pairs, half = count / 2;
    double *even = filter->even, *odd = filter->odd;
    for (size_t n = 0; n < half; n++) {
        even[history + n] = in[2 * n];
        odd[history + n] = in[2 * n + 1];
    }
    /* out[n] has its middle at odd[n + pairs], so that the newest tap is even[n + 2 pairs] */
    for (size_t n = 0; n < half; n++)
        out[n] = 0.5 * odd[n + pairs];
    for (size_t i = 0; i < pairs; i++) {
        const double *below = even + pairs - i, *above = even + pairs + 1 + i;
        double tap = filter->tap[i];
        for (size_t n = 0; n < half; n++)
            out[n] += tap * (below[n] + above[n]);
    }
    memmove(even, even + half, history * sizeof *even);
    memmove(odd, odd + half, history * sizeof *odd);
}
