/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/zwicker.h"

#include "base/clones.h"
#include "base/units.h"

#include <math.h>

#define LOW_BAND_COUNT 11 /* 25 to 250 Hz, corrected by equal-loudness contours at low levels */
#define LOW_ROW_COUNT 8
#define MERGED_COUNT 3

/* Annex A, tables of ISO 532-1 (from memory). Level up to which a row holds, and corrections, dB. */
static const double row_level_db[LOW_ROW_COUNT] = { 45, 55, 65, 71, 80, 90, 100, 120 };
static const double low_correction_db[LOW_ROW_COUNT][LOW_BAND_COUNT] = {
    { -32, -24, -16, -10, -5, 0, -7, -3, 0, -2, 0 }, { -29, -22, -15, -10, -4, 0, -7, -2, 0, -2, 0 },
    { -27, -19, -14, -9, -4, 0, -6, -2, 0, -2, 0 },  { -25, -17, -12, -9, -3, 0, -5, -2, 0, -2, 0 },
    { -23, -16, -11, -7, -3, 0, -4, -1, 0, -1, 0 },  { -20, -14, -10, -6, -3, 0, -4, -1, 0, -1, 0 },
    { -18, -12, -9, -6, -2, 0, -3, -1, 0, -1, 0 },   { -15, -10, -8, -4, -2, 0, -3, -1, 0, -1, 0 },
};
/* Critical bands: threshold in quiet, transmission of the ear (free field), diffuse-field difference, adaptation of
 * third octaves to critical bands, upper edge in bark. */
static const struct {
    double threshold_db, transmission_db, diffuse_db, adaptation_db;
} critical[20] = {
    { 30, 0, 0, -0.25 }, { 18, 0, 0, -0.6 },     { 12, 0, 0.5, -0.8 }, { 8, 0, 0.9, -0.8 },    { 7, 0, 1.2, -0.5 },
    { 6, 0, 1.6, 0 },    { 5, 0, 2.3, 0.5 },     { 4, 0, 2.8, 1.1 },   { 3, 0, 3, 1.5 },       { 3, 0, 2, 1.7 },
    { 3, -0.5, 0, 1.8 }, { 3, -1.6, -1.4, 1.8 }, { 3, -3.2, -2, 1.7 }, { 3, -5.4, -1.9, 1.6 }, { 3, -5.6, -1, 1.4 },
    { 3, -4, 0.5, 1.2 }, { 3, -1.5, 3, 0.8 },    { 3, 2, 4, 0.5 },     { 3, 5, 4.3, 0 },       { 3, 12, 4, -0.5 },
};
static const double upper_bark[ZWICKER_CORE_COUNT] = { 0.9,  1.8,  2.8,  3.5,  4.4,  5.4,  6.6,  7.9,  9.2,  10.6, 12.3,
                                                       13.8, 15.2, 16.7, 18.1, 19.3, 20.6, 21.8, 22.7, 23.6, 24.0 };
/* Slopes of the upper flanks, sone/bark^2, from the specific loudness in each row on, by critical band. */
#define SLOPE_ROW_COUNT 18
#define SLOPE_COLUMN_COUNT 8
static const double slope_from[SLOPE_ROW_COUNT] = { 21.5, 18,   15.1, 11.5, 9,    6.1,  4.4, 3.1,   2.13,
                                                    1.36, 0.82, 0.42, 0.3,  0.22, 0.15, 0.1, 0.035, 0 };
static const double slope[SLOPE_ROW_COUNT][SLOPE_COLUMN_COUNT] = {
    { 13, 8.2, 6.3, 5.5, 5.5, 5.5, 5.5, 5.5 },          { 9, 7.5, 6, 5.1, 4.5, 4.5, 4.5, 4.5 },
    { 7.8, 6.7, 5.6, 4.9, 4.4, 3.9, 3.9, 3.9 },         { 6.2, 5.4, 4.6, 4, 3.5, 3.2, 3.2, 3.2 },
    { 4.5, 3.8, 3.6, 3.2, 2.9, 2.7, 2.7, 2.7 },         { 3.7, 3, 2.8, 2.35, 2.2, 2.2, 2.2, 2.2 },
    { 2.9, 2.3, 2.1, 1.9, 1.8, 1.7, 1.7, 1.7 },         { 2.4, 1.7, 1.5, 1.35, 1.3, 1.3, 1.3, 1.3 },
    { 1.95, 1.45, 1.3, 1.15, 1.1, 1.1, 1.1, 1.1 },      { 1.5, 1.2, 0.94, 0.86, 0.82, 0.82, 0.82, 0.82 },
    { 0.72, 0.67, 0.64, 0.63, 0.62, 0.62, 0.62, 0.62 }, { 0.59, 0.53, 0.51, 0.5, 0.42, 0.42, 0.42, 0.42 },
    { 0.4, 0.33, 0.26, 0.24, 0.24, 0.22, 0.22, 0.22 },  { 0.27, 0.21, 0.2, 0.18, 0.17, 0.17, 0.17, 0.17 },
    { 0.16, 0.15, 0.14, 0.12, 0.11, 0.11, 0.11, 0.11 }, { 0.12, 0.11, 0.1, 0.08, 0.08, 0.08, 0.08, 0.08 },
    { 0.09, 0.08, 0.07, 0.06, 0.06, 0.06, 0.06, 0.05 }, { 0.06, 0.05, 0.03, 0.02, 0.02, 0.02, 0.02, 0.02 },
};
#define THRESHOLD_FACTOR 0.25 /* s */

void zwicker_init(struct zwicker *zwicker, bool is_diffuse)
{
    for (size_t row = 0; row < LOW_ROW_COUNT; row++)
        for (size_t band = 0; band < LOW_BAND_COUNT; band++) {
            zwicker->low_limit_pa2[row][band] = db_to_pa2(row_level_db[row] - low_correction_db[row][band]);
            zwicker->low_factor[row][band] = db_to_power_ratio(low_correction_db[row][band]);
        }
    for (size_t i = 0; i < 20; i++) {
        double field_db = (is_diffuse ? critical[i].diffuse_db : 0) - critical[i].transmission_db;
        zwicker->threshold_pa2[i] = db_to_pa2(critical[i].threshold_db - field_db);
        zwicker->gain[i] =
            THRESHOLD_FACTOR / db_to_pa2(critical[i].threshold_db - field_db + critical[i].adaptation_db);
        zwicker->scale[i] = 0.0635 * db_to_power_ratio(0.25 * critical[i].threshold_db);
    }
    for (size_t row = 0; row < SLOPE_ROW_COUNT; row++)
        for (size_t column = 0; column < SLOPE_COLUMN_COUNT; column++)
            zwicker->inverse_slope[row][column] = 1 / slope[row][column];
}

static double corrected_low_pa2(const struct zwicker *zwicker, const double *band_pa2, size_t from, size_t end)
{
    double sum_pa2 = 0;
    for (size_t band = from; band < end; band++) {
        size_t row = 0;
        while (row < LOW_ROW_COUNT - 1 && band_pa2[band] > zwicker->low_limit_pa2[row][band])
            row++;
        sum_pa2 += band_pa2[band] * zwicker->low_factor[row][band];
    }
    return sum_pa2;
}

WITH_CLONES void zwicker_core(const struct zwicker *zwicker, const double band_pa2[static ZWICKER_BAND_COUNT],
                              double core[static ZWICKER_CORE_COUNT])
{
    double critical_pa2[20];
    critical_pa2[0] = corrected_low_pa2(zwicker, band_pa2, 0, 6);
    critical_pa2[1] = corrected_low_pa2(zwicker, band_pa2, 6, 9);
    critical_pa2[2] = corrected_low_pa2(zwicker, band_pa2, 9, 11);
    for (size_t i = MERGED_COUNT; i < 20; i++)
        critical_pa2[i] = band_pa2[i + LOW_BAND_COUNT - MERGED_COUNT];
    for (size_t i = 0; i < 20; i++) {
        double above = 1 - THRESHOLD_FACTOR + zwicker->gain[i] * critical_pa2[i];
        core[i] = zwicker->scale[i] * (sqrt(sqrt(above)) - 1);
    }
    for (size_t i = 0; i < 20; i++)
        core[i] = critical_pa2[i] > zwicker->threshold_pa2[i] && core[i] > 0 ? core[i] : 0;
    core[20] = 0;
    if (core[0] > 0) /* the lowest band is wider than a critical band */
        core[0] *= fmin(1, 0.4 + 0.32 * pow(core[0], 0.2));
}

static inline double larger(double a, double b) /* neither is ever NaN: no call */
{
    return a > b ? a : b;
}

/* Where the walk stands: at `bark` the pattern is at `height`, which lies in `row`. */
struct walk {
    double bark, height, area;
    size_t row;
    double *pattern;
    size_t next; /* of the pattern, at (next + 1) / 10 bark */
};

static double pattern_bark(size_t index)
{
    return (double)(index + 1) * 0.1;
}

/* The method's own program sets each edge a ten-thousandth of a bark higher; so do we, to agree to the last digit. */
static double band_end_bark(size_t i)
{
    return upper_bark[i] + 1e-4;
}

/* Goes on to `bark`, the height falling by `slope_value` for each bark (0: flat). */
static inline void walk_to(struct walk *walk, double bark, double height, double slope_value)
{
    walk->area += 0.5 * (walk->height + height) * (bark - walk->bark);
    if (walk->pattern)
        for (; walk->next < ZWICKER_PATTERN_COUNT && pattern_bark(walk->next) <= bark + 1e-9; walk->next++)
            walk->pattern[walk->next] = walk->height - slope_value * (pattern_bark(walk->next) - walk->bark);
    walk->bark = bark;
    walk->height = height;
}

/* Falls along the flank until the band's end or the band's own loudness, whichever is first. */
static inline void fall(const struct zwicker *zwicker, struct walk *walk, double end_bark, double core, size_t column)
{
    while (walk->bark < end_bark && walk->height > core) {
        while (walk->row < SLOPE_ROW_COUNT - 1 && walk->height <= slope_from[walk->row])
            walk->row++;
        double least = larger(core, slope_from[walk->row]), fall_slope = slope[walk->row][column];
        double bark = walk->bark + (walk->height - least) * zwicker->inverse_slope[walk->row][column];
        if (bark < end_bark)
            walk_to(walk, bark, least, fall_slope);
        else
            walk_to(walk, end_bark, larger(least, walk->height - fall_slope * (end_bark - walk->bark)), fall_slope);
    }
}

static inline double walk_all(const struct zwicker *zwicker, const double *core, double *pattern)
{
    struct walk walk = { .pattern = pattern };
    for (size_t i = 0; i < ZWICKER_CORE_COUNT; i++) {
        size_t column = i == 0 ? 0 : i - 1 < SLOPE_COLUMN_COUNT ? i - 1 : SLOPE_COLUMN_COUNT - 1;
        if (core[i] >= walk.height) {
            walk.height = core[i];
            walk.row = 0;
        } else {
            fall(zwicker, &walk, band_end_bark(i), core[i], column);
        }
        if (walk.bark < band_end_bark(i))
            walk_to(&walk, band_end_bark(i), walk.height, 0);
    }
    return walk.area;
}

double zwicker_loudness_sone(const struct zwicker *zwicker, const double core[static ZWICKER_CORE_COUNT],
                             double *pattern)
{
    /* twice, so that the one without a pattern, which runs a thousand times a second, has no test for it */
    return pattern ? walk_all(zwicker, core, pattern) : walk_all(zwicker, core, NULL);
}

double sone_to_phon(double sone)
{
    if (sone >= 1)
        return 40 + 10 * log2(sone);
    return fmax(40 * pow(sone + 0.0005, 0.35), 3);
}
