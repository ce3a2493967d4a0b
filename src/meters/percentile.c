/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/percentile.h"

#include "base/absent.h"

#include <math.h>

void percentile_add(struct percentile *percentile, double level_db)
{
    percentile->count++;
    if (!(level_db >= PERCENTILE_LOWEST_DB)) {
        percentile->silent_count++;
        return;
    }
    double position = (level_db - PERCENTILE_LOWEST_DB) / PERCENTILE_CLASS_DB;
    size_t index = position < PERCENTILE_CLASS_COUNT - 1 ? (size_t)position : PERCENTILE_CLASS_COUNT - 1;
    percentile->counts[index]++;
}

double percentile_exceeded_db(const struct percentile *percentile, double share_pct)
{
    if (percentile->count == 0)
        return ABSENT;
    double above = (double)percentile->count * share_pct / 100;
    double passed = 0;
    for (size_t i = PERCENTILE_CLASS_COUNT; i-- > 0;) {
        double here = (double)percentile->counts[i];
        if (here > 0 && passed + here >= above)
            return PERCENTILE_LOWEST_DB + PERCENTILE_CLASS_DB * ((double)i + 1 - (above - passed) / here);
        passed += here;
    }
    return (double)-HUGE_VAL;
}
