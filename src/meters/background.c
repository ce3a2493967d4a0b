/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/background.h"

#include "base/absent.h"
#include "base/units.h"

#include <math.h>

#define NO_CORRECTION_ABOVE_DB 15.0
#define UPPER_BOUND_BELOW_DB 6.0
#define LARGEST_K1_DB 1.3

struct background_correction background_correct(double level_db, double background_db)
{
    struct background_correction none = { 0 };
    if (!is_given(level_db) || !is_given(background_db) || isinf(background_db) || isinf(level_db))
        return none;
    double difference_db = level_db - background_db;
    if (difference_db > NO_CORRECTION_ABOVE_DB)
        return none;
    if (difference_db < UPPER_BOUND_BELOW_DB)
        return (struct background_correction){ .k1_db = LARGEST_K1_DB, .is_upper_bound = true };
    return (struct background_correction){ .k1_db = -power_ratio_to_db(1 - db_to_power_ratio(-difference_db)) };
}
