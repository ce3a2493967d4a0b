/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/audibility.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "hearing/critical_band.h"
#include "hearing/line_spacing.h"

#include <math.h>
#include <stdlib.h>

double masking_index_db(double hz)
{
    return -2 - log10(1 + pow(hz / 502, 2.5));
}

int tonal_adjustment_db(double audibility_db)
{
    static const double step_db[] = { 0, 2, 4, 6, 9, 12 };
    if (!is_given(audibility_db))
        return -1;
    int adjustment_db = 0;
    while (adjustment_db < 6 && audibility_db > step_db[adjustment_db])
        adjustment_db++;
    return adjustment_db;
}

/* Widest spacing nearest to the 2.93 Hz of 16384 points at 48 kHz that the fine spectrum can be brought to. */
static size_t spacing_factor(double step_hz)
{
    if (step_hz >= AUDIBILITY_LEAST_SPACING_HZ)
        return 1;
    double wanted = fmax(round(48000.0 / 16384.0 / step_hz), ceil(AUDIBILITY_LEAST_SPACING_HZ / step_hz));
    return (size_t)fmin(wanted, floor(AUDIBILITY_MOST_SPACING_HZ / step_hz));
}

bool audibility_can_rate(const struct spectrum *spectrum)
{
    return spectrum->count > 0 && spectrum->step_hz > 0 && spectrum->step_hz <= AUDIBILITY_MOST_SPACING_HZ;
}

/* IEC 61672-1:2013, annex E: the analytic A weighting as a power ratio, 1 at 1 kHz. */
static double a_weighting_power(double hz)
{
    double f2 = hz * hz;
    double amplitude =
        12194.217 * 12194.217 * f2 * f2 /
        ((f2 + 20.598997 * 20.598997) * sqrt((f2 + 107.65265 * 107.65265) * (f2 + 737.86223 * 737.86223)) *
         (f2 + 12194.217 * 12194.217));
    return amplitude * amplitude * db_to_power_ratio(2.0);
}

struct lines_in_band {
    size_t first, end, tone;
};

/* The mean of the lines left after those more than 6 dB above the last mean were left out, the tone's line never
 * counted; stops when the mean moves less than 0.005 dB or fewer than five lines are left on a side. Its standard
 * uncertainty goes to *uncertainty_db: each line's is taken as 3 dB. */
#define LINE_UNCERTAINTY_DB 3.0
#define LEAST_LINES_A_SIDE 5
static double mean_line_pa2(const double *pa2, const struct lines_in_band *band, double *uncertainty_db)
{
    double limit_pa2 = HUGE_VAL, mean_pa2 = ABSENT;
    for (;;) {
        double sum_pa2 = 0, squares = 0;
        size_t below = 0, above = 0;
        for (size_t k = band->first; k < band->end; k++) {
            if (k == band->tone || pa2[k] > limit_pa2)
                continue;
            sum_pa2 += pa2[k];
            squares += pa2[k] * pa2[k];
            below += k < band->tone;
            above += k > band->tone;
        }
        if (is_given(mean_pa2) && (below < LEAST_LINES_A_SIDE || above < LEAST_LINES_A_SIDE))
            return mean_pa2;
        if (below + above == 0 || !(sum_pa2 > 0))
            return mean_pa2;
        double before_pa2 = mean_pa2;
        mean_pa2 = sum_pa2 / (double)(below + above);
        *uncertainty_db = LINE_UNCERTAINTY_DB * sqrt(squares) / sum_pa2;
        if (is_given(before_pa2) && fabs(power_ratio_to_db(mean_pa2 / before_pa2)) < 0.005)
            return mean_pa2;
        limit_pa2 = mean_pa2 * db_to_power_ratio(6);
    }
}

/* Lines of the tone: adjacent, within 10 dB of its peak and more than 6 dB above the mean. */
static double tone_line_sum_pa2(const struct spectrum *weighted, size_t peak, double mean_pa2, double *uncertainty_db,
                                size_t *line_count)
{
    const double *pa2 = weighted->pa2;
    double least_pa2 = fmax(pa2[peak] * db_to_power_ratio(-10), mean_pa2 * db_to_power_ratio(6));
    size_t first = peak, last = peak;
    while (first > 0 && pa2[first - 1] >= least_pa2)
        first--;
    while (last + 1 < weighted->count && pa2[last + 1] >= least_pa2)
        last++;
    double sum_pa2 = 0, squares = 0;
    for (size_t k = first; k <= last; k++) {
        sum_pa2 += pa2[k];
        squares += pa2[k] * pa2[k];
    }
    *line_count = last - first + 1;
    *uncertainty_db = LINE_UNCERTAINTY_DB * sqrt(squares) / sum_pa2;
    return sum_pa2;
}

static size_t peak_near(const struct spectrum *weighted, double hz)
{
    size_t nearest = (size_t)fmin(round(hz / weighted->step_hz), (double)(weighted->count - 1)), peak = nearest;
    for (size_t k = nearest > 0 ? nearest - 1 : 0; k <= nearest + 1 && k < weighted->count; k++)
        if (weighted->pa2[k] > weighted->pa2[peak])
            peak = k;
    return peak;
}

struct single { /* one tone before those beside it are added */
    double tone_pa2, tone_uncertainty_db, noise_pa2, noise_uncertainty_db;
    bool is_distinct;
};

static bool rate_single(const struct spectrum *weighted, double hz, struct single *out)
{
    double low_hz, high_hz;
    critical_band_geometric(hz, &low_hz, &high_hz);
    if (hz < AUDIBILITY_LOWEST_HZ || high_hz > (double)(weighted->count - 1) * weighted->step_hz)
        return false;
    struct lines_in_band band = { (size_t)ceil(low_hz / weighted->step_hz),
                                  (size_t)floor(high_hz / weighted->step_hz) + 1, peak_near(weighted, hz) };
    double mean_pa2 = mean_line_pa2(weighted->pa2, &band, &out->noise_uncertainty_db);
    if (!is_given(mean_pa2))
        return false;
    size_t line_count;
    double sum_pa2 = tone_line_sum_pa2(weighted, band.tone, mean_pa2, &out->tone_uncertainty_db, &line_count);
    out->tone_pa2 = line_count > 1 ? sum_pa2 / weighted->enbw_lines : sum_pa2;
    out->noise_pa2 = mean_pa2 / weighted->enbw_lines * critical_bandwidth_hz(hz) / weighted->step_hz;
    out->is_distinct = (double)line_count * weighted->step_hz <= 26 * (1 + 0.001 * hz) &&
                       weighted->pa2[band.tone] > mean_pa2 * db_to_power_ratio(6);
    return true;
}

/* Power and squared uncertainty-weighted power of all distinct tones in the band of tone i, when it is the strongest.
 */
static double together_pa2(const struct single *singles, const double *hz, size_t count, size_t i, double *squares)
{
    double low_hz, high_hz, sum_pa2 = singles[i].tone_pa2;
    double own = singles[i].tone_pa2 * singles[i].tone_uncertainty_db;
    critical_band_geometric(hz[i], &low_hz, &high_hz);
    *squares = own * own;
    for (size_t j = 0; j < count; j++) {
        if (j == i || hz[j] < low_hz || hz[j] > high_hz || !singles[j].is_distinct)
            continue;
        if (singles[j].tone_pa2 > singles[i].tone_pa2) {
            *squares = own * own;
            return singles[i].tone_pa2;
        }
        if (hz[i] < 1000 && hz[i] >= 89.1 && fabs(hz[j] - hz[i]) > proximity_hz(hz[i]))
            continue;
        double part = singles[j].tone_pa2 * singles[j].tone_uncertainty_db;
        sum_pa2 += singles[j].tone_pa2;
        *squares += part * part;
    }
    return sum_pa2;
}

static void rate_all(const struct spectrum *weighted, const double *hz, size_t count, struct single *singles,
                     struct audibility_rating *out)
{
    for (size_t i = 0; i < count; i++)
        if (!rate_single(weighted, hz[i], &singles[i]))
            singles[i] = (struct single){ .tone_pa2 = ABSENT };
    for (size_t i = 0; i < count; i++) {
        out[i] = (struct audibility_rating){ ABSENT, ABSENT, ABSENT, ABSENT, false };
        if (!is_given(singles[i].tone_pa2))
            continue;
        double squares;
        double tone_pa2 = together_pa2(singles, hz, count, i, &squares);
        double noise_uncertainty_db = singles[i].noise_uncertainty_db;
        out[i].tone_db = pa2_to_db(tone_pa2);
        out[i].noise_db = pa2_to_db(singles[i].noise_pa2);
        out[i].audibility_db = power_ratio_to_db(tone_pa2 / singles[i].noise_pa2) - masking_index_db(hz[i]);
        out[i].uncertainty_db =
            1.645 * sqrt(squares / (tone_pa2 * tone_pa2) + noise_uncertainty_db * noise_uncertainty_db);
        out[i].is_distinct = singles[i].is_distinct;
    }
}

bool audibility_rate(const struct spectrum *spectrum, const double *hz, size_t count, struct audibility_rating *out,
                     struct err *err)
{
    if (count == 0 || !audibility_can_rate(spectrum)) {
        for (size_t i = 0; i < count; i++)
            out[i] = (struct audibility_rating){ ABSENT, ABSENT, ABSENT, ABSENT, false };
        return true;
    }
    struct spectrum weighted;
    if (!spectrum_widen(spectrum, spacing_factor(spectrum->step_hz), &weighted, err))
        return false;
    struct single *singles = memory_new(count, sizeof *singles);
    if (!singles) {
        free(weighted.pa2);
        return err_memory(err);
    }
    for (size_t k = 0; k < weighted.count; k++)
        weighted.pa2[k] *= a_weighting_power((double)k * weighted.step_hz);
    rate_all(&weighted, hz, count, singles, out);
    free(singles);
    free(weighted.pa2);
    return true;
}
