/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/tach_doubt.h"

#include "base/absent.h"
#include "rotor/count.h"

#include <math.h>
#include <stddef.h>

#define REACH_PCT 0.5 /* of a tachometer's mean speed; the tones' own errors are smaller */
#define MARGIN 6.0    /* odds of 400 to 1 */
#define UNEQUAL_DB 6.0

static const struct {
    int over, under;
} ratios[] = { { 1, 4 }, { 1, 3 }, { 1, 2 }, { 2, 3 }, { 3, 2 }, { 2, 1 }, { 3, 1 }, { 4, 1 } };

struct tach_doubt tach_doubt_nothing(void)
{
    return (struct tach_doubt){ .ratio = ABSENT, .speed = { .shaft_hz = ABSENT, .uncertainty_hz = ABSENT } };
}

static struct speed speed_near(const struct speed_question *question, double shaft_hz)
{
    struct speed_question near = *question;
    near.log_hz = shaft_hz;
    near.log_tolerance_pct = near.search_pct = REACH_PCT;
    return speed_from_tones(&near);
}

static bool is_of_unequal_blades(const struct speed_question *question, const struct speed *speed, int divisor)
{
    double blades = question->blades;
    double contrast_db = count_contrast_db(question, speed->shaft_hz * blades, speed->uncertainty_hz * blades, divisor);
    return divisor > 1 && contrast_db >= UNEQUAL_DB; /* false where it is absent */
}

static bool is_borne_out(const struct speed_question *question, double shaft_hz)
{
    return is_given(question->log_hz) && fabs(shaft_hz / question->log_hz - 1) <= question->log_tolerance_pct / 100;
}

struct tach_doubt tach_doubt_find(const struct speed_question *question, double tach_hz)
{
    struct tach_doubt doubt = tach_doubt_nothing();
    if (question->blades <= 0 || is_borne_out(question, tach_hz))
        return doubt;
    double least = fmax(speed_near(question, tach_hz).evidence, 0) + MARGIN;
    for (size_t i = 0; i < sizeof ratios / sizeof *ratios; i++) {
        double ratio = (double)ratios[i].over / ratios[i].under;
        struct speed speed = speed_near(question, tach_hz * ratio);
        if (!is_given(speed.shaft_hz) || speed.evidence <= least ||
            is_of_unequal_blades(question, &speed, ratios[i].under))
            continue;
        least = speed.evidence;
        doubt = (struct tach_doubt){ ratio, speed, is_borne_out(question, speed.shaft_hz) };
    }
    return doubt;
}
