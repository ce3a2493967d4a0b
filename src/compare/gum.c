/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/gum.h"

#include "base/absent.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

/* Beyond this many degrees of freedom Student's factor equals the normal one within 1e-6. */
#define LIKE_NORMAL 1e7

static double quantile(double probability, double degrees_of_freedom)
{
    if (!(degrees_of_freedom > 0))
        return ABSENT;
    if (degrees_of_freedom > LIKE_NORMAL)
        return gsl_cdf_ugaussian_Pinv(probability);
    return gsl_cdf_tdist_Pinv(probability, degrees_of_freedom);
}

double student_factor_two_sided(double degrees_of_freedom, double confidence)
{
    return quantile(0.5 + confidence / 2, degrees_of_freedom);
}

double student_factor_one_sided(double degrees_of_freedom, double confidence)
{
    return quantile(confidence, degrees_of_freedom);
}

double student_tail_two_sided(double t, double degrees_of_freedom)
{
    if (!(degrees_of_freedom > 0))
        return ABSENT;
    if (degrees_of_freedom > LIKE_NORMAL)
        return 2 * gsl_cdf_ugaussian_Q(fabs(t));
    return 2 * gsl_cdf_tdist_Q(fabs(t), degrees_of_freedom);
}

struct uncertainty uncertainty_sum(const struct uncertainty *components, size_t count)
{
    double variance = 0, fourth = 0;
    for (size_t i = 0; i < count; i++) {
        double square = components[i].standard * components[i].standard;
        variance += square;
        if (square > 0 && isfinite(components[i].degrees_of_freedom))
            fourth += square * square / components[i].degrees_of_freedom;
    }
    struct uncertainty sum = { sqrt(variance), HUGE_VAL };
    if (fourth > 0)
        sum.degrees_of_freedom = variance * variance / fourth;
    return sum;
}

struct uncertainty uncertainty_rectangular(double half_width)
{
    return (struct uncertainty){ fabs(half_width) / sqrt(3), HUGE_VAL };
}
