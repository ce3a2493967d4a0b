/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/tone.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/floor.h"

#include <math.h>
#include <stdlib.h>

#define LEAST_RATIO_DB 6.0
#define FLOOR_ERROR_DB 1.0 /* what the floor itself may be off */
#define LOWEST_HZ 8.0      /* below lie wind and handling, not rotors */
#define LOBE_LINES 2       /* main lobe of a Hann window: two lines to its zero */
#define LEAK_MARGIN 4.0    /* side lobes of a tone that is not quite steady reach 6 dB above the window's own */
#define LEAK_REACH 64      /* lines; side lobes fall by 18 dB an octave */
#define VALLEY_DB 3.0      /* between two tones, for a spectrum of many blocks */
#define CLIFF_DB 25.0      /* by which noise in the critical band exceeds the noise in the line's own place */
#define RIPPLE_DB 12.0     /* what stands out further is told even there */
#define CLIFF_HZ 1000.0    /* below, noise of rotors and wind is steep by nature */
#define EXTENT_RATIO 1.5   /* lines this far above the noise still belong to a tone */

struct peak {
    size_t line;
    double ratio; /* to the noise in its line */
};

struct tone tone_nothing(void)
{
    return (struct tone){ .hz = ABSENT,
                          .level_db = ABSENT,
                          .above_noise_db = ABSENT,
                          .bandwidth_hz = ABSENT,
                          .line_ratio_db = ABSENT,
                          .uncertainty_hz = ABSENT,
                          .source = "unexplained",
                          .expected_hz = ABSENT,
                          .misfit = ABSENT,
                          .shaft_order = ABSENT,
                          .tone_to_noise_db = ABSENT,
                          .prominence_db = ABSENT,
                          .audibility_db = ABSENT };
}

double tone_noise_pa2(const struct spectrum *spectrum, const double *noise_pa2, double hz)
{
    double width_hz = critical_bandwidth_hz(hz);
    double low_hz = hz > 500 ? (sqrt(width_hz * width_hz + 4 * hz * hz) - width_hz) / 2 : hz - width_hz / 2;
    double high_hz = low_hz + width_hz;
    size_t first = low_hz > 0 ? (size_t)ceil(low_hz / spectrum->step_hz) : 1;
    size_t last = (size_t)floor(high_hz / spectrum->step_hz);
    if (last >= spectrum->count)
        last = spectrum->count - 1;
    if (first > last)
        return ABSENT;
    double sum = 0;
    for (size_t k = first; k <= last; k++)
        sum += noise_pa2[k];
    return sum / (double)(last - first + 1) * width_hz / (spectrum->enbw_lines * spectrum->step_hz);
}

static int by_power(const void *a, const void *b)
{
    const struct peak *left = a, *right = b;
    if (left->ratio != right->ratio)
        return left->ratio > right->ratio ? -1 : 1;
    return left->line < right->line ? -1 : left->line > right->line;
}

double tone_least_ratio_db(const struct spectrum *spectrum, double false_chance)
{
    return fmax(LEAST_RATIO_DB, power_ratio_to_db(floor_outlier_ratio(spectrum, false_chance)) + FLOOR_ERROR_DB);
}

static bool list_peaks(const struct spectrum *spectrum, const double *noise_pa2, double false_chance, struct peak **out,
                       size_t *count)
{
    double least = db_to_power_ratio(tone_least_ratio_db(spectrum, false_chance));
    size_t first = (size_t)ceil(LOWEST_HZ / spectrum->step_hz), capacity = 0;
    void *peaks = NULL;
    *count = 0;
    for (size_t k = first < 3 ? 3 : first; k + 3 < spectrum->count; k++) {
        const double *pa2 = &spectrum->pa2[k];
        if (!(pa2[0] > pa2[-1] && pa2[0] >= pa2[1] && pa2[0] > least * noise_pa2[k]))
            continue;
        if (!memory_grow(&peaks, &capacity, *count + 1, sizeof **out)) {
            free(peaks);
            return false;
        }
        ((struct peak *)peaks)[(*count)++] = (struct peak){ k, pa2[0] / noise_pa2[k] };
    }
    *out = peaks;
    if (*count > 0)
        qsort(peaks, *count, sizeof **out, by_power);
    return true;
}

/* Envelope of the Hann window's side lobes, d lines away: 1 / (pi d (d^2 - 1)), as power. */
static double leak_ratio(double lines)
{
    double amplitude = 1 / (PI * lines * (lines * lines - 1));
    return amplitude * amplitude;
}

/* How deep a valley must be to part two tones. Few blocks make a wide line ragged, so it must be deeper then. */
static double valley_db(const struct spectrum *spectrum)
{
    return VALLEY_DB + 2 * VALLEY_DB / sqrt(floor_independent_blocks(spectrum));
}

/* Is there a valley between line `from` (the weaker) and `to`? */
static bool is_apart(const struct spectrum *spectrum, size_t from, size_t to)
{
    double lowest = spectrum->pa2[from];
    for (size_t k = from < to ? from : to; k <= (from < to ? to : from); k++)
        lowest = fmin(lowest, spectrum->pa2[k]);
    return lowest < spectrum->pa2[from] * db_to_power_ratio(-valley_db(spectrum));
}

static bool is_new(const struct spectrum *spectrum, const struct peak *peaks, size_t kept, size_t line)
{
    double leak_pa2 = 0;
    for (size_t i = 0; i < kept; i++) {
        size_t other = peaks[i].line, distance = other > line ? other - line : line - other;
        if (distance <= LOBE_LINES)
            return false;
        if (distance > LEAK_REACH)
            continue;
        leak_pa2 += leak_ratio((double)distance - 0.5) * spectrum->pa2[other];
        if (spectrum->pa2[other] >= spectrum->pa2[line] && !is_apart(spectrum, line, other))
            return false;
    }
    return spectrum->pa2[line] > LEAK_MARGIN * leak_pa2;
}

/* From the peak outward on one side, as far as the lines fall and stand out, but at least its main lobe, and never
 * beyond `limit` (half way to the next tone). */
static size_t extent(const struct spectrum *spectrum, const double *noise_pa2, size_t line, int step, size_t limit)
{
    size_t at = line, lines = 0;
    double lowest = spectrum->pa2[line], rise = db_to_power_ratio(valley_db(spectrum));
    while (at != limit && at > 1 && at + 2 < spectrum->count) {
        size_t next = step > 0 ? at + 1 : at - 1;
        if (++lines > LOBE_LINES &&
            (spectrum->pa2[next] < EXTENT_RATIO * noise_pa2[next] || spectrum->pa2[next] > rise * lowest))
            break;
        lowest = fmin(lowest, spectrum->pa2[next]);
        at = next;
    }
    return at;
}

static double above_noise(const struct spectrum *spectrum, const double *noise_pa2, size_t line)
{
    return fmax(spectrum->pa2[line] - noise_pa2[line], 0);
}

/* Offset of the tone from its highest line, in lines: for a Hann window the amplitudes of the two highest lines stand
 * as (1 + d) : (2 - d), d the distance to the higher. */
static double hann_offset(double before, double top, double after)
{
    double ratio = sqrt(fmax(before, after) / top);
    double offset = (2 * ratio - 1) / (ratio + 1);
    offset = fmin(fmax(offset, 0), 0.6);
    return after >= before ? offset : -offset;
}

static struct tone measure(const struct spectrum *spectrum, const double *noise_pa2, size_t line, size_t low,
                           size_t high)
{
    double sum = 0, moment = 0, second = 0;
    for (size_t k = low; k <= high; k++) {
        double pa2 = above_noise(spectrum, noise_pa2, k), distance = (double)k - (double)line;
        sum += pa2;
        moment += pa2 * distance;
        second += pa2 * distance * distance;
    }
    double centre = moment / sum, spread = sqrt(fmax(second / sum - centre * centre, 0));
    /* The power spread of a steady tone's Hann lobe is 1/sqrt(3) of a line. */
    bool is_narrow = spread < 0.85 || high - low <= 2 * LOBE_LINES;
    double offset = is_narrow ? hann_offset(above_noise(spectrum, noise_pa2, line - 1), spectrum->pa2[line],
                                            above_noise(spectrum, noise_pa2, line + 1))
                              : centre;
    struct tone tone = tone_nothing();
    double ratio = spectrum->pa2[line] / noise_pa2[line];
    tone.hz = ((double)line + offset) * spectrum->step_hz;
    tone.level_db = pa2_to_db(sum / spectrum->enbw_lines);
    tone.above_noise_db = tone.level_db - pa2_to_db(tone_noise_pa2(spectrum, noise_pa2, tone.hz));
    tone.bandwidth_hz = (double)(high - low + 1) * spectrum->step_hz;
    tone.line_ratio_db = power_ratio_to_db(ratio);
    double noise_lines = 0.7 / sqrt(ratio * floor_independent_blocks(spectrum));
    double width_lines = is_narrow ? 0.01 : 0.15 * spread;
    tone.uncertainty_hz = spectrum->step_hz * sqrt(noise_lines * noise_lines + width_lines * width_lines);
    return tone;
}

/* Ripples at the foot of a steep edge, as a lossy coder's cut-off makes it, are no tones: nothing of them is heard
 * beside the noise a little lower. */
static bool is_below_cliff(const struct spectrum *spectrum, const struct tone *tone)
{
    double lines = critical_bandwidth_hz(tone->hz) / (spectrum->enbw_lines * spectrum->step_hz);
    double flat_db = tone->line_ratio_db - power_ratio_to_db(lines);
    return tone->hz > CLIFF_HZ && tone->line_ratio_db < RIPPLE_DB && flat_db - tone->above_noise_db > CLIFF_DB;
}

static int by_line(const void *a, const void *b)
{
    const struct peak *left = a, *right = b;
    return left->line < right->line ? -1 : left->line > right->line;
}

bool tones_find(const struct spectrum *spectrum, const double *noise_pa2, double false_chance, struct tone **tones,
                size_t *count, struct err *err)
{
    struct peak *peaks = NULL;
    size_t peak_count = 0, kept = 0, told = 0;
    if (!list_peaks(spectrum, noise_pa2, false_chance, &peaks, &peak_count))
        return err_memory(err);
    for (size_t i = 0; i < peak_count && kept < TONES_MAX; i++)
        if (is_new(spectrum, peaks, kept, peaks[i].line))
            peaks[kept++] = peaks[i];
    struct tone *found = memory_new(kept, sizeof *found);
    if (!found) {
        free(peaks);
        return err_memory(err);
    }
    if (kept > 0)
        qsort(peaks, kept, sizeof *peaks, by_line);
    for (size_t i = 0; i < kept; i++) {
        size_t line = peaks[i].line;
        size_t low_limit = i > 0 ? (peaks[i - 1].line + line + 1) / 2 : 1;
        size_t high_limit = i + 1 < kept ? (peaks[i + 1].line + line) / 2 : spectrum->count - 2;
        size_t low = extent(spectrum, noise_pa2, line, -1, low_limit);
        size_t high = extent(spectrum, noise_pa2, line, 1, high_limit);
        struct tone tone = measure(spectrum, noise_pa2, line, low, high);
        if (!is_below_cliff(spectrum, &tone))
            found[told++] = tone;
    }
    free(peaks);
    *tones = found;
    *count = told;
    return true;
}
