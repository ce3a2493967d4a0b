/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/tone_lines.h"

#include "base/units.h"
#include "hearing/critical_band.h"

#include <math.h>

double spectrum_power_pa2(const struct spectrum *spectrum, double low_hz, double high_hz, double *width_hz)
{
    double step_hz = spectrum->step_hz, sum_pa2 = 0;
    *width_hz = 0;
    double low = fmax(low_hz / step_hz + 0.5, 0); /* line k holds [k, k + 1) of this scale */
    double high = fmin(high_hz / step_hz + 0.5, (double)spectrum->count);
    if (!(low < high))
        return 0;
    size_t first = (size_t)low, last = (size_t)ceil(high) - 1;
    for (size_t k = first; k <= last; k++) {
        double part = fmin(high, (double)(k + 1)) - fmax(low, (double)k);
        sum_pa2 += part * spectrum->pa2[k];
    }
    *width_hz = (high - low) * step_hz;
    return sum_pa2 / spectrum->enbw_lines;
}

double noise_density_pa2_hz(const struct spectrum *spectrum, double low_hz, double high_hz)
{
    double first_line = ceil(fmax(low_hz, 0) / spectrum->step_hz);
    double end_line = fmin(floor(high_hz / spectrum->step_hz) + 1, (double)spectrum->count);
    if (!(first_line < end_line))
        return 0;
    size_t first = (size_t)first_line, end = (size_t)end_line, kept_before = 0;
    double limit_pa2 = HUGE_VAL, mean_pa2 = 0;
    for (;;) {
        double sum_pa2 = 0;
        size_t kept = 0;
        for (size_t k = first; k < end; k++)
            if (spectrum->pa2[k] <= limit_pa2) {
                sum_pa2 += spectrum->pa2[k];
                kept++;
            }
        if (kept == 0 || kept == kept_before)
            break;
        mean_pa2 = sum_pa2 / (double)kept;
        limit_pa2 = mean_pa2 * db_to_power_ratio(6);
        kept_before = kept;
    }
    return mean_pa2 / (spectrum->enbw_lines * spectrum->step_hz);
}

/* Half the main lobe of the Hann window: two lines to each side hold all of a steady tone. */
#define LOBE_LINES 2

static size_t peak_line(const struct spectrum *spectrum, double hz)
{
    double nearest = fmin(fmax(round(hz / spectrum->step_hz), 0), (double)(spectrum->count - 1));
    size_t peak = (size_t)nearest, from = peak > LOBE_LINES ? peak - LOBE_LINES : 0;
    for (size_t k = from; k <= (size_t)nearest + LOBE_LINES && k < spectrum->count; k++)
        if (spectrum->pa2[k] > spectrum->pa2[peak])
            peak = k;
    return peak;
}

/* Grows the tone's lines from its peak within [least, most]. */
static void grow(const struct spectrum *spectrum, size_t peak, size_t least, size_t most, double noise_pa2,
                 double limit_hz, struct tone_lines *out)
{
    out->first = peak > least + LOBE_LINES ? peak - LOBE_LINES : least;
    out->last = peak + LOBE_LINES < most ? peak + LOBE_LINES : most;
    bool grows = true;
    while (grows && (double)(out->last - out->first + 2) * spectrum->step_hz <= limit_hz) {
        double below_pa2 = out->first > least ? spectrum->pa2[out->first - 1] : 0;
        double above_pa2 = out->last < most ? spectrum->pa2[out->last + 1] : 0;
        grows = fmax(below_pa2, above_pa2) > 2 * noise_pa2;
        if (grows && below_pa2 > above_pa2)
            out->first--;
        else if (grows)
            out->last++;
    }
}

void tone_lines_find(const struct spectrum *spectrum, const double *hz, size_t count, struct tone_lines *out)
{
    double line_bandwidth_hz = spectrum->enbw_lines * spectrum->step_hz;
    for (size_t i = 0; i < count; i++) {
        double low_hz, high_hz;
        critical_band_ecma(hz[i], &low_hz, &high_hz);
        out[i].noise_density_pa2_hz = noise_density_pa2_hz(spectrum, low_hz, high_hz);
        size_t peak = peak_line(spectrum, hz[i]), least = 0, most = spectrum->count - 1;
        if (i > 0) {
            size_t middle = (size_t)(0.5 * (hz[i - 1] + hz[i]) / spectrum->step_hz) + 1;
            least = middle < peak ? middle : peak;
            if (least <= out[i - 1].last)
                least = out[i - 1].last < peak ? out[i - 1].last + 1 : peak;
        }
        if (i + 1 < count) {
            size_t middle = (size_t)(0.5 * (hz[i + 1] + hz[i]) / spectrum->step_hz);
            most = middle > peak ? middle : peak;
        }
        grow(spectrum, peak, least, most, out[i].noise_density_pa2_hz * line_bandwidth_hz,
             0.15 * critical_bandwidth_hz(hz[i]), &out[i]);
        double sum_pa2 = 0;
        for (size_t k = out[i].first; k <= out[i].last; k++)
            sum_pa2 += spectrum->pa2[k];
        out[i].width_hz = (double)(out[i].last - out[i].first + 1) * spectrum->step_hz;
        out[i].power_pa2 = fmax(0, sum_pa2 / spectrum->enbw_lines - out[i].noise_density_pa2_hz * out[i].width_hz);
    }
}
