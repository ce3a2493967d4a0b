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

static size_t line_below(const struct spectrum *spectrum, double hz)
{
    return (size_t)fmin(fmax(hz / spectrum->step_hz, 0), (double)(spectrum->count - 1));
}

/* The highest line within some lines of the nearest to a frequency, and within [least, most]. */
static size_t peak_line(const struct spectrum *spectrum, double hz, size_t reach, size_t least, size_t most)
{
    size_t nearest = line_below(spectrum, hz + 0.5 * spectrum->step_hz);
    nearest = nearest < least ? least : nearest > most ? most : nearest;
    size_t peak = nearest, end = nearest + reach < most ? nearest + reach : most;
    for (size_t k = nearest > least + reach ? nearest - reach : least; k <= end; k++)
        if (spectrum->pa2[k] > spectrum->pa2[peak])
            peak = k;
    return peak;
}

static size_t hill_top(const struct spectrum *spectrum, double hz)
{
    const double *pa2 = spectrum->pa2;
    size_t top = line_below(spectrum, hz);
    if (top + 1 < spectrum->count && pa2[top + 1] > pa2[top])
        top++;
    for (;;) {
        double below_pa2 = top > 0 ? pa2[top - 1] : 0, above_pa2 = top + 1 < spectrum->count ? pa2[top + 1] : 0;
        if (!(fmax(below_pa2, above_pa2) > pa2[top]))
            return top;
        top = above_pa2 > below_pa2 ? top + 1 : top - 1;
    }
}

/* Whether no valley parts two tones: who climbs from one comes to the other, or at least beyond the middle. */
static bool are_on_one_hill(const struct spectrum *spectrum, double low_hz, double high_hz)
{
    size_t low_top = hill_top(spectrum, low_hz), high_top = hill_top(spectrum, high_hz);
    double middle = 0.5 * (low_hz + high_hz) / spectrum->step_hz;
    return low_top == high_top || (double)low_top > middle || (double)high_top < middle;
}

/* Whether tone i is the strongest of those on its hill, which are `*first` to before `*end`. */
static bool is_strongest_on_hill(const struct spectrum *spectrum, const double *hz, const struct tone_lines *fine,
                                 size_t count, size_t i, size_t *first, size_t *end)
{
    bool is_strongest = true;
    for (*first = i; *first > 0 && are_on_one_hill(spectrum, hz[*first - 1], hz[i]); --*first)
        is_strongest = is_strongest && fine[*first - 1].to_middles_pa2 < fine[i].to_middles_pa2;
    for (*end = i + 1; *end < count && are_on_one_hill(spectrum, hz[i], hz[*end]); ++*end)
        is_strongest = is_strongest && fine[*end].to_middles_pa2 <= fine[i].to_middles_pa2;
    return is_strongest;
}

static size_t lowest_line(const struct spectrum *spectrum, size_t from, size_t to)
{
    size_t lowest = from;
    for (size_t k = from; k <= to; k++)
        if (spectrum->pa2[k] < spectrum->pa2[lowest])
            lowest = k;
    return lowest;
}

static size_t middle_line(const struct spectrum *spectrum, const double *hz, size_t below, size_t above)
{
    return line_below(spectrum, 0.5 * (hz[below] + hz[above]));
}

/* The last line of the lower of two tones: half way, and from there back to the valley before the weaker one, whose
 * line is the weaker one's. */
static size_t border_line(const struct spectrum *spectrum, const double *hz, const struct tone_lines *fine,
                          size_t below, size_t above, size_t reach)
{
    size_t middle = middle_line(spectrum, hz, below, above);
    if (fine[below].to_middles_pa2 < fine[above].to_middles_pa2)
        return lowest_line(spectrum, peak_line(spectrum, hz[below], reach, 0, middle), middle);
    if (middle + 1 == spectrum->count)
        return middle;
    size_t peak = peak_line(spectrum, hz[above], reach, middle + 1, spectrum->count - 1);
    return lowest_line(spectrum, middle + 1, peak) - 1;
}

static void set_peak(const struct spectrum *spectrum, double hz, size_t reach, struct tone_place *place)
{
    if (place->least > place->most) /* several tones about one line */
        place->least = place->most;
    place->peak = peak_line(spectrum, hz, reach, place->least, place->most);
}

static struct tone_place place_of(const struct spectrum *spectrum, const double *hz, const struct tone_lines *fine,
                                  size_t count, size_t i, size_t reach)
{
    size_t first, end;
    struct tone_place place = { .is_own = is_strongest_on_hill(spectrum, hz, fine, count, i, &first, &end) };
    place.least = first > 0 ? border_line(spectrum, hz, fine, first - 1, i, reach) + 1 : 0;
    place.most = end < count ? border_line(spectrum, hz, fine, i, end, reach) : spectrum->count - 1;
    set_peak(spectrum, hz[i], reach, &place);
    return place;
}

struct tone_place tone_place_find(const struct spectrum *spectrum, const double *hz, const struct tone_lines *fine,
                                  size_t count, size_t i)
{
    struct tone_place place = place_of(spectrum, hz, fine, count, i, 1);
    place.is_own = place.is_own && fine[i].is_own;
    return place;
}

/* Grows the tone's lines from the main lobe about its peak, the higher side first. */
static void grow(const struct spectrum *spectrum, const struct tone_place *place, double noise_pa2, double limit_hz,
                 struct tone_lines *out)
{
    const double *pa2 = spectrum->pa2;
    size_t peak = place->peak, least = place->least, most = place->most;
    out->first = peak > least + LOBE_LINES ? peak - LOBE_LINES : least;
    out->last = peak + LOBE_LINES < most ? peak + LOBE_LINES : most;
    bool grows = true;
    while (grows && (double)(out->last - out->first + 2) * spectrum->step_hz <= limit_hz) {
        double below_pa2 = out->first > least ? pa2[out->first - 1] : 0;
        double above_pa2 = out->last < most ? pa2[out->last + 1] : 0;
        grows = fmax(below_pa2, above_pa2) > 2 * noise_pa2;
        if (grows && below_pa2 > above_pa2)
            out->first--;
        else if (grows)
            out->last++;
    }
}

static void measure(const struct spectrum *spectrum, double hz, const struct tone_place *place, struct tone_lines *out)
{
    double noise_pa2 = out->noise_density_pa2_hz * spectrum->enbw_lines * spectrum->step_hz, sum_pa2 = 0;
    grow(spectrum, place, noise_pa2, 0.15 * critical_bandwidth_hz(hz), out);
    for (size_t k = out->first; k <= out->last; k++)
        sum_pa2 += spectrum->pa2[k];
    out->width_hz = (double)(out->last - out->first + 1) * spectrum->step_hz;
    out->power_pa2 = fmax(0, sum_pa2 / spectrum->enbw_lines - out->noise_density_pa2_hz * out->width_hz);
}

void tone_lines_find(const struct spectrum *spectrum, const double *hz, size_t count, struct tone_lines *out)
{
    for (size_t i = 0; i < count; i++) {
        double low_hz, high_hz;
        struct tone_place place;
        critical_band_ecma(hz[i], &low_hz, &high_hz);
        out[i].noise_density_pa2_hz = noise_density_pa2_hz(spectrum, low_hz, high_hz);
        place.least = i > 0 ? middle_line(spectrum, hz, i - 1, i) + 1 : 0;
        place.most = i + 1 < count ? middle_line(spectrum, hz, i, i + 1) : spectrum->count - 1;
        set_peak(spectrum, hz[i], LOBE_LINES, &place);
        measure(spectrum, hz[i], &place, &out[i]);
        out[i].to_middles_pa2 = out[i].power_pa2;
    }
    for (size_t i = 0; i < count; i++) {
        struct tone_place place = place_of(spectrum, hz, out, count, i, LOBE_LINES);
        out[i].is_own = place.is_own;
        if (place.is_own) {
            measure(spectrum, hz[i], &place, &out[i]);
            continue;
        }
        out[i].first = 1;
        out[i].last = 0;
        out[i].width_hz = out[i].power_pa2 = 0;
    }
}
