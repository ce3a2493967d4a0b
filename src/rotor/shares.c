/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/shares.h"

#include "base/absent.h"
#include "base/units.h"
#include "meters/weighting.h"
#include "rotor/naming.h"

#include <math.h>

#define LOWEST_HZ 10.0

static double a_weight(double hz)
{
    return db_to_power_ratio(weighting_db(WEIGHTING_A, hz));
}

struct shares shares_of_energy(const struct spectrum *spectrum, const struct tone *tones, size_t tone_count)
{
    struct shares shares = { ABSENT, ABSENT, ABSENT, ABSENT };
    double total = 0, blade = 0, named = 0, unexplained = 0;
    for (size_t k = (size_t)ceil(LOWEST_HZ / spectrum->step_hz); k < spectrum->count; k++)
        total += spectrum->pa2[k] / spectrum->enbw_lines * a_weight((double)k * spectrum->step_hz);
    for (size_t i = 0; i < tone_count; i++) {
        double power = db_to_pa2(tones[i].level_db) * a_weight(tones[i].hz);
        if (tone_is_blade(&tones[i]))
            blade += power;
        else if (tone_is_unexplained(&tones[i]))
            unexplained += power;
        else
            named += power;
    }
    if (!(total > 0))
        return shares;
    /* Tones without any noise can sum to the whole and a rounding more. */
    total = fmax(total, blade + named + unexplained);
    shares.blade_pct = 100 * blade / total;
    shares.named_pct = 100 * named / total;
    shares.unexplained_pct = 100 * unexplained / total;
    shares.broadband_pct = 100 * (total - blade - named - unexplained) / total;
    return shares;
}
