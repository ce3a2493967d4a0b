/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_COMPARE_H
#define THRUM_COMPARE_COMPARE_H

/* Variants against the reference at the same operating point: differences with 95 % intervals, never outside the range
 * that both variants were measured in. Unusable runs are left out. The method is in docs/comparison.md. GSL's own error
 * handler must be off (gsl_set_error_handler_off), as it aborts. */

#include "campaign/campaign.h"
#include "measure/run_result.h"

#include <stdbool.h>
#include <stddef.h>

/* Unclear: the interval holds 0. Unknown: there is a difference, but no interval. */
enum compare_verdict { COMPARE_QUIETER, COMPARE_LOUDER, COMPARE_UNCLEAR, COMPARE_UNKNOWN, COMPARE_REFUSED };

/* "quieter", "louder", "no clear difference", "not known", "refused" */
const char *compare_verdict_key(enum compare_verdict verdict);
bool compare_verdict_is_clear(enum compare_verdict verdict); /* quieter or louder */

/* Where the reference and interval come from is told in `basis`; why a difference is refused in `reason`. */
struct comparison {
    enum operating_quantity at;
    double value;      /* of the operating quantity */
    char quantity[40]; /* "LAeq_db", "third_octave_db", "blade_tone_db", "loudness_n5_sone", ... */
    double band_hz;    /* nominal, for third octaves; else ABSENT */
    char variant[64], reference[64];
    char microphone[132]; /* the variant's; names in full where variant and reference differ: "a / b" */
    double variant_value, reference_value;      /* at the point, at the reference distance */
    double variant_ci95_low, variant_ci95_high; /* of the fitted value itself; ABSENT where not known */
    double reference_ci95_low, reference_ci95_high;
    double difference_db;             /* variant minus reference, in the quantity's own unit */
    double ci95_low_db, ci95_high_db; /* -INFINITY or +INFINITY: one-sided; ABSENT: no interval can be had */
    double repeat_spread_db;          /* pooled standard deviation of repeats; ABSENT without repeats */
    int variant_run_count, reference_run_count;
    enum compare_verdict verdict;
    bool survives_many_bands; /* third octaves: the difference stands after the correction for many tests */
    char basis[64];           /* "line fit", "curve fit", "same points" */
    char reason[300];         /* why refused, or why there is no interval; empty otherwise */
    char words[320];          /* the verdict in words, words.h */
};

/* Level against operating point of one variant, for drawing: the runs and the fitted line with its band. The economy
 * curves against thrust, power_loading_n_w and figure_of_merit, hold their own unit in the fields of levels. */
struct curve_point {
    double value, level_db;
    bool is_doubtful;
    bool is_upper_bound;
};

struct fit_point {
    double value, level_db, ci95_low_db, ci95_high_db;
};

struct curve {
    enum operating_quantity at;
    char quantity[40]; /* "LAeq_db", "power_loading_n_w" */
    char variant[64];
    char microphone[64];
    struct curve_point *points;
    size_t point_count;
    struct fit_point *fit; /* empty when there is nothing to fit */
    size_t fit_count;
    double residual_db; /* standard deviation of the runs about the fit */
    double slope_db_per_decade, slope_ci95_low, slope_ci95_high;
    char basis[64];
};

/* A line of the uncertainty budget of one comparison of LAeq. */
struct budget_line {
    char variant[64];
    enum operating_quantity at;
    double value;
    char microphone[132]; /* as in the comparison */
    char component[128];
    double standard_db;        /* standard uncertainty of the difference from this component */
    double degrees_of_freedom; /* INFINITY for type B */
    bool cancels;              /* it is common to both and was not counted */
};

/* The operating value at equal level: "at 60 dB(A) slow5 lifts 3.4 N". */
struct equal_level {
    enum operating_quantity at;
    double level_db;
    char variant[64];
    char microphone[64];
    double value, ci95_low, ci95_high; /* ABSENT where the level is outside what was measured; then reason says so */
    char reason[160];
};

/* How much of the A-level difference each third-octave band carries, and tones against broadband; the parts add up. */
struct contribution {
    enum operating_quantity at;
    double value;
    char variant[64];
    char microphone[132]; /* as in the comparison */
    char part[48];        /* "1000 Hz", "outside the bands"; "blade tones", "other tones", "broadband" */
    double band_hz;
    double share_db; /* part of the difference carried, dB */
};

/* What if one source of a variant were silent? Tones of one part of the machine, all broadband noise, or the narrowest
 * row of third octaves that holds at least half of it. Shares of tones and of all broadband noise add up to 100. */
enum what_if_kind { WHAT_IF_TONES, WHAT_IF_BROADBAND, WHAT_IF_MAIN_BANDS };

const char *what_if_kind_key(enum what_if_kind kind); /* "tones", "broadband", "main bands" */

#define WHAT_IF_PROMINENT_MAX 8

struct what_if {
    enum operating_quantity at;
    double value;
    char variant[64];
    char microphone[64];
    enum what_if_kind kind;
    char source[SOURCE_TEXT_MAX]; /* "blade", "belt", "motor", "bearing front", "unexplained", ...; "broadband" */
    double low_hz, high_hz;       /* nominal, of the first and last third octave of main bands; else ABSENT */
    double share_pct;             /* of the A-weighted energy */
    double fall_db;               /* of LAeq without it, at most; INFINITY when it is all there is */
    bool is_prominent;            /* it makes a tone that is prominent now */
    char prominent_left[WHAT_IF_PROMINENT_MAX][SOURCE_TEXT_MAX]; /* sources of other tones that are, highest first */
    size_t prominent_left_count;
};

struct comparisons {
    struct comparison *items;
    size_t count, capacity;
    struct curve *curves;
    size_t curve_count, curve_capacity;
    struct budget_line *budget;
    size_t budget_count, budget_capacity;
    struct equal_level *equal_levels;
    size_t equal_level_count, equal_level_capacity;
    struct contribution *contributions;
    size_t contribution_count, contribution_capacity;
    struct what_if *what_ifs; /* of one variant at one point together, largest share first */
    size_t what_if_count, what_if_capacity;
    char **remarks; /* runs left out, what the answer is without doubtful ones, slopes that look wrong, ranking */
    size_t remark_count, remark_capacity;
};

/* The comparisons of the main axis (compare_at, else thrust, power, tip speed, speed or throttle, the first that all
 * have) stand first: items[0].at is that axis. */
struct compare_request {
    const struct campaign *campaign;
    size_t reference; /* variant index, from --reference or the campaign */
};

bool compare_runs(const struct compare_request *request, const struct run_result *runs, size_t run_count,
                  struct comparisons *out, struct err *err) MUST_CHECK;
void comparisons_clear(struct comparisons *comparisons);

#endif
