/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/audibility.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "hearing/critical_band.h"
#include "hearing/line_spacing.h"
#include "hearing/tone_groups.h"
#include "hearing/tone_lines.h"
#include "meters/weighting.h"

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

struct line_sum {
    size_t first, last;
    double pa2, uncertainty_db;
};

/* Lines of the tone: adjacent, within 10 dB of its peak and more than 6 dB above the mean, and no neighbour's. */
static struct line_sum sum_lines(const struct spectrum *weighted, const struct tone_place *place, double mean_pa2)
{
    const double *pa2 = weighted->pa2;
    double least_pa2 = fmax(pa2[place->peak] * db_to_power_ratio(-10), mean_pa2 * db_to_power_ratio(6));
    struct line_sum out = { .first = place->peak, .last = place->peak };
    while (out.first > place->least && pa2[out.first - 1] >= least_pa2)
        out.first--;
    while (out.last < place->most && pa2[out.last + 1] >= least_pa2)
        out.last++;
    double squares = 0;
    for (size_t k = out.first; k <= out.last; k++) {
        out.pa2 += pa2[k];
        squares += pa2[k] * pa2[k];
    }
    out.uncertainty_db = LINE_UNCERTAINTY_DB * sqrt(squares) / out.pa2;
    return out;
}

static struct audibility_rating nothing(void)
{
    return (struct audibility_rating){ ABSENT, ABSENT, ABSENT, ABSENT, false, true };
}

struct single { /* one tone before those beside it are added */
    double tone_pa2, tone_uncertainty_db, noise_pa2, noise_uncertainty_db;
    bool is_distinct;
};

/* Where its lines meet a neighbour's, the tone has no more than the fine spectrum knows of it. */
static bool rate_single(const struct spectrum *weighted, double hz, const struct tone_place *place,
                        const struct tone_lines *fine, struct single *out)
{
    double low_hz, high_hz;
    critical_band_geometric(hz, &low_hz, &high_hz);
    if (!place->is_own || hz < AUDIBILITY_LOWEST_HZ || high_hz > (double)(weighted->count - 1) * weighted->step_hz)
        return false;
    struct lines_in_band band = { (size_t)ceil(low_hz / weighted->step_hz),
                                  (size_t)floor(high_hz / weighted->step_hz) + 1, place->peak };
    double mean_pa2 = mean_line_pa2(weighted->pa2, &band, &out->noise_uncertainty_db);
    if (!is_given(mean_pa2))
        return false;
    struct line_sum sum = sum_lines(weighted, place, mean_pa2);
    size_t line_count = sum.last - sum.first + 1;
    out->tone_uncertainty_db = sum.uncertainty_db;
    out->tone_pa2 = line_count > 1 ? sum.pa2 / weighted->enbw_lines : sum.pa2;
    if (sum.first == place->least || sum.last == place->most)
        out->tone_pa2 = fmin(out->tone_pa2, fine->power_pa2 * weighting_power_ratio(WEIGHTING_A, hz) +
                                                (double)line_count * mean_pa2 / weighted->enbw_lines);
    out->noise_pa2 = mean_pa2 / weighted->enbw_lines * critical_bandwidth_hz(hz) / weighted->step_hz;
    out->is_distinct = (double)line_count * weighted->step_hz <= 26 * (1 + 0.001 * hz) &&
                       weighted->pa2[band.tone] > mean_pa2 * db_to_power_ratio(6);
    return true;
}

struct tones {
    struct tone_lines *fine;
    struct single *singles;
    double *distinct_pa2; /* 0 where it is not distinct */
    size_t *primary;      /* of each the tone that it is heard as one with */
};

static bool tones_init(struct tones *tones, size_t count, struct err *err)
{
    *tones =
        (struct tones){ memory_new(count, sizeof *tones->fine), memory_new(count, sizeof *tones->singles),
                        memory_new(count, sizeof *tones->distinct_pa2), memory_new(count, sizeof *tones->primary) };
    return tones->fine && tones->singles && tones->distinct_pa2 && tones->primary ? true : err_memory(err);
}

static void tones_clear(struct tones *tones)
{
    free(tones->fine);
    free(tones->singles);
    free(tones->distinct_pa2);
    free(tones->primary);
}

/* Power and squared uncertainty-weighted power of tone i: its own, and for a primary those of all heard as one with
 * it. */
static double together_pa2(const struct tones *tones, size_t count, size_t i, double *squares)
{
    double sum_pa2 = 0;
    *squares = 0;
    for (size_t j = 0; j < count; j++)
        if (j == i || (tones->primary[i] == i && tones->primary[j] == i)) {
            double part = tones->singles[j].tone_pa2 * tones->singles[j].tone_uncertainty_db;
            sum_pa2 += tones->singles[j].tone_pa2;
            *squares += part * part;
        }
    return sum_pa2;
}

static void rate_all(const struct spectrum *weighted, const double *hz, size_t count, struct tones *tones,
                     struct audibility_rating *out)
{
    struct single *singles = tones->singles;
    for (size_t i = 0; i < count; i++) {
        struct tone_place place = tone_place_find(weighted, hz, tones->fine, count, i);
        if (!rate_single(weighted, hz[i], &place, &tones->fine[i], &singles[i]))
            singles[i] = (struct single){ .tone_pa2 = ABSENT };
        tones->distinct_pa2[i] = singles[i].is_distinct ? singles[i].tone_pa2 : 0;
    }
    tone_groups_find(hz, tones->distinct_pa2, count, critical_band_geometric, tones->primary);
    for (size_t i = 0; i < count; i++) {
        out[i] = nothing();
        if (!is_given(singles[i].tone_pa2))
            continue;
        double squares;
        double tone_pa2 = together_pa2(tones, count, i, &squares);
        double noise_uncertainty_db = singles[i].noise_uncertainty_db;
        out[i].tone_db = pa2_to_db(tone_pa2);
        out[i].noise_db = pa2_to_db(singles[i].noise_pa2);
        out[i].audibility_db = power_ratio_to_db(tone_pa2 / singles[i].noise_pa2) - masking_index_db(hz[i]);
        out[i].uncertainty_db =
            1.645 * sqrt(squares / (tone_pa2 * tone_pa2) + noise_uncertainty_db * noise_uncertainty_db);
        out[i].is_distinct = singles[i].is_distinct;
        out[i].is_primary = tones->primary[i] == i;
    }
}

bool audibility_rate(const struct spectrum *spectrum, const double *hz, size_t count, struct audibility_rating *out,
                     struct err *err)
{
    if (count == 0 || !audibility_can_rate(spectrum)) {
        for (size_t i = 0; i < count; i++)
            out[i] = nothing();
        return true;
    }
    struct spectrum weighted;
    if (!spectrum_widen(spectrum, spacing_factor(spectrum->step_hz), &weighted, err))
        return false;
    struct tones tones;
    bool done = tones_init(&tones, count, err);
    for (size_t k = 0; done && k < weighted.count; k++)
        weighted.pa2[k] *= weighting_power_ratio(WEIGHTING_A, (double)k * weighted.step_hz);
    if (done) {
        tone_lines_find(spectrum, hz, count, tones.fine);
        rate_all(&weighted, hz, count, &tones, out);
    }
    tones_clear(&tones);
    free(weighted.pa2);
    return done;
}
