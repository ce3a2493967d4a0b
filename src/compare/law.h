/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_LAW_H
#define THRUM_COMPARE_LAW_H

/* The law of one variant: its quantity against lg of the operating value, between a straight line and a parabola by a
 * written rule (docs/comparison.md, "Straight or curved"), and what scatters about it. */

#include "compare/fit.h"

#include <stdbool.h>
#include <stddef.h>

/* Operating values within this ratio of each other are the same operating point (2 %, docs/comparison.md). */
#define SAME_POINT_RATIO 1.02

/* One run as the comparison sees it. */
struct sample {
    double value;             /* of the operating quantity */
    double y;                 /* the quantity, or its natural logarithm (quantity.h) */
    double background_per_db; /* change of y when the background was 1 dB higher; 0 without a correction */
    double per_speed;         /* change of y per part of the speed, placing.h; else 0 */
    double per_tone_db;       /* change of y when all tones were 1 dB stronger, placing.h; else 0 */
    bool is_upper_bound, is_doubtful;
    size_t run; /* index in the runs */
};

struct law {
    bool is_fitted;      /* false: fewer than three operating points */
    double curve_weight; /* of the parabola, 0 to 1; scatter.c gives it, to all variants at once */
    struct fit straight, curved;
    struct fit chosen; /* between the two */
};

void law_weigh(struct law *law, double curve_weight);

/* Half width of what the runs leave open between the line and the parabola, signed as parabola less line: their
 * difference times the root of the line's weight. */
double law_doubt(const struct law *law, double x);

/* Operating points among `samples` sorted by value: consecutive samples within SAME_POINT_RATIO of a group's first. */
size_t sample_point_count(const struct sample *sorted, size_t count);

/* End (one past the last) of the group that starts at `start`. */
size_t sample_group_end(const struct sample *sorted, size_t count, size_t start);

void samples_sort(struct sample *samples, size_t count); /* by value, then by run */

/* Fits samples sorted by value. Fewer than three operating points: is_fitted is false, and that is not an error. */
bool law_fit(const struct sample *sorted, size_t count, struct law *out, struct err *err) MUST_CHECK;

/* Scatter of repeats: sum of squares and degrees of freedom within the operating points, of what is left after the
 * straight line when there is one (repeats need not be at exactly the same value), else of y itself. */
void law_repeats(const struct sample *sorted, size_t count, const struct law *law, double *squares,
                 double *degrees_of_freedom);

#endif
