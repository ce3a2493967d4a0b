/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/thrust_check.h"

#include "base/absent.h"
#include "base/median.h"
#include "base/memory.h"
#include "base/units.h"
#include "campaign/text_check.h"

#include <math.h>
#include <stdlib.h>

#define OTHERS_LEAST 3
/* Common practice. */
#define FACTOR_TOLD 4.0
#define AGREE_FACTOR 1.5 /* half of the others lie as near to their median */
#define UNIT_FACTOR 1.35 /* a slip of the unit is known this near to its factor */

/* Thrust over the square of the speed; ABSENT where one of them is not logged. */
static double coefficient(const struct run *run)
{
    return run->thrust_n > 0 && run->rpm > 0 ? run->thrust_n / (run->rpm * run->rpm) : ABSENT;
}

static bool is_near(double factor, double slip)
{
    return fabs(log(factor / slip)) < log(UNIT_FACTOR);
}

/* What a thrust that is `factor` times too large may be. */
static const char *hint(double factor)
{
    static const struct {
        double factor;
        const char *words;
    } slips[] = {
        { 1000 / STANDARD_GRAVITY_M_S2, "grams (gram-force) in the place of newtons?" },
        { STANDARD_GRAVITY_M_S2 / 1000, "newtons in the place of grams (gram-force)?" },
        { 1 / STANDARD_GRAVITY_M_S2, "kilogram-force in the place of newtons, or a digit too few?" },
        { STANDARD_GRAVITY_M_S2, "newtons in the place of kilogram-force, or a digit too many?" },
        { 1000, "a point that was lost?" },
        { 0.001, "a unit a thousand times larger?" },
    };
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++)
        if (is_near(factor, slips[i].factor))
            return slips[i].words;
    return "a slip in thrust or speed?";
}

/* The median of what the others say, ABSENT where they are too few or do not agree. */
static double usual(double *values, size_t count)
{
    if (count < OTHERS_LEAST)
        return ABSENT;
    double middle = median(values, count);
    for (size_t i = 0; i < count; i++)
        values[i] = fabs(log(values[i] / middle));
    return median(values, count) <= log(AGREE_FACTOR) ? middle : ABSENT;
}

bool thrust_check(const struct campaign *campaign, size_t index, struct text *out)
{
    const struct run *run = &campaign->runs[index];
    double own = coefficient(run), *values;
    size_t count = 0;
    if (!is_given(own))
        return true;
    if (!(values = memory_new(campaign->run_count, sizeof *values)))
        return false;
    for (size_t i = 0; i < campaign->run_count; i++) {
        double other = coefficient(&campaign->runs[i]);
        if (i != index && campaign->runs[i].variant == run->variant && is_given(other))
            values[count++] = other;
    }
    double factor = own / usual(values, count);
    free(values);
    if (!(fabs(log(factor)) > log(FACTOR_TOLD)))
        return true;
    text_addf(out,
              "the logged thrust, %s N at %s rev/min, is %s times as %s as the %zu other runs of %s tell by the square "
              "of the speed; %s check row %d of the log",
              excerpt_number(run->thrust_n, 6).text, excerpt_number(run->rpm, 6).text,
              excerpt_number(factor > 1 ? factor : 1 / factor, 3).text, factor > 1 ? "large" : "small", count,
              campaign->variants[run->variant].name, hint(factor), run->row);
    return !out->failed;
}
