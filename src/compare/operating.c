/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/operating.h"

#include "base/absent.h"
#include "base/units.h"

#include <math.h>

/* Of a logged speed, where the log says nothing (docs/campaign.md). */
#define DEFAULT_TOLERANCE_PCT 2.0

/* Default points are at least this far apart. */
#define APART_RATIO 1.05

bool operating_log_was_wrong(const struct run_result *run)
{
    double tolerance_pct = is_given(run->rpm_tolerance_pct) ? run->rpm_tolerance_pct : DEFAULT_TOLERANCE_PCT;
    if (!is_given(run->rpm_given) || !(run->rotor.rpm_measured > 0) ||
        fabs(run->rotor.rpm_measured / run->rpm_given - 1) * 100 <= tolerance_pct)
        return false;
    for (size_t i = 0; i < run->rotor.blade_passage_count; i++)
        if (run->rotor.blade_passages[i].verdict == BLADE_SHIFTED)
            return true;
    return false;
}

static double speed_rpm(const struct run_result *run)
{
    if (!is_given(run->rpm_given) || operating_log_was_wrong(run))
        return run->rotor.rpm_measured;
    return run->rpm_given;
}

double operating_value(const struct run_result *run, const struct variant *variant, enum operating_quantity quantity)
{
    switch (quantity) {
    case OPERATING_THRUST_N:
        return run->thrust_n;
    case OPERATING_POWER_W:
        return run->power_w;
    case OPERATING_RPM:
        return speed_rpm(run);
    case OPERATING_TIP_SPEED_M_S:
        return variant_tip_speed_m_s(variant, speed_rpm(run));
    case OPERATING_THROTTLE_PCT:
        return run->throttle_pct;
    case OPERATING_QUANTITY_COUNT:
        return ABSENT;
    }
    return ABSENT;
}

const char *operating_unit(enum operating_quantity quantity)
{
    switch (quantity) {
    case OPERATING_THRUST_N:
        return "N";
    case OPERATING_POWER_W:
        return "W";
    case OPERATING_RPM:
        return "rev/min";
    case OPERATING_TIP_SPEED_M_S:
        return "m/s";
    case OPERATING_THROTTLE_PCT:
        return "%";
    case OPERATING_QUANTITY_COUNT:
        return "";
    }
    return "";
}

const enum operating_quantity operating_order[OPERATING_QUANTITY_COUNT] = {
    OPERATING_THRUST_N, OPERATING_POWER_W, OPERATING_TIP_SPEED_M_S, OPERATING_RPM, OPERATING_THROTTLE_PCT,
};

const char *operating_name(enum operating_quantity quantity)
{
    switch (quantity) {
    case OPERATING_THRUST_N:
        return "thrust";
    case OPERATING_POWER_W:
        return "power";
    case OPERATING_RPM:
        return "speed";
    case OPERATING_TIP_SPEED_M_S:
        return "tip speed";
    case OPERATING_THROTTLE_PCT:
        return "throttle";
    case OPERATING_QUANTITY_COUNT:
        return "";
    }
    return "";
}

/* The size of the last of `digits` significant digits of a value: a power of ten. */
static double last_digit(double value, int digits)
{
    return db_to_power_ratio(10 * (floor(log10(value)) + 1 - digits));
}

size_t operating_spread(double low, double high, double out[3])
{
    if (!(low > 0) || !(high >= low))
        return 0;
    if (high < low * APART_RATIO * APART_RATIO) {
        out[0] = sqrt(low * high);
        return 1;
    }
    for (int digits = 2; digits <= 4; digits++) {
        double middle = sqrt(low * high);
        double rounded[3] = { ceil(low / last_digit(low, digits) - 1e-9) * last_digit(low, digits),
                              round(middle / last_digit(middle, digits)) * last_digit(middle, digits),
                              floor(high / last_digit(high, digits) + 1e-9) * last_digit(high, digits) };
        if (rounded[1] > rounded[0] * APART_RATIO && rounded[2] > rounded[1] * APART_RATIO) {
            for (int i = 0; i < 3; i++)
                out[i] = rounded[i];
            return 3;
        }
    }
    out[0] = low;
    out[1] = sqrt(low * high);
    out[2] = high;
    return 3;
}
