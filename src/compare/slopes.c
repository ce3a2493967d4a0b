/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/slopes.h"

#include "base/absent.h"
#include "compare/collect.h"
#include "compare/words.h"

#include <string.h>

/* The rule is rough: this far off it is still nothing to look into, dB per decade. */
#define RULE_MARGIN_DB 10.0

static bool has_slope(const struct curve *curve, enum operating_quantity at)
{
    return curve->at == at && strcmp(curve->quantity, "LAeq_db") == 0 && is_given(curve->slope_db_per_decade);
}

static bool tell(struct comparisons *list, const struct curve *curve, const char *of, bool names_microphone,
                 struct err *err)
{
    if (!is_given(curve->slope_ci95_low))
        return true;
    const char *warning = "";
    if (curve->slope_ci95_low > SLOPE_RULE_HIGH_DB + RULE_MARGIN_DB)
        warning = ": implausibly steep, check the log and the gain";
    else if (curve->slope_ci95_high < SLOPE_RULE_LOW_DB - RULE_MARGIN_DB)
        warning = ": implausibly flat, check the log, the background and other sources";
    char slope[40], low[40], high[40];
    words_number(curve->slope_db_per_decade, 0, slope, sizeof slope);
    words_number(curve->slope_ci95_low, 0, low, sizeof low);
    words_number(curve->slope_ci95_high, 0, high, sizeof high);
    return collect_remark(list, err,
                          "The A-level of %s%s%s rises as %s lg %s (%s to %s); 50 to 60 lg is common practice%s.",
                          curve->variant, names_microphone ? " at microphone " : "",
                          names_microphone ? curve->microphone : "", slope, of, low, high, warning);
}

bool slopes_tell(struct comparisons *list, bool names_microphones, struct err *err)
{
    bool by_tip_speed = false;
    for (size_t i = 0; i < list->curve_count; i++)
        by_tip_speed = by_tip_speed || has_slope(&list->curves[i], OPERATING_TIP_SPEED_M_S);
    enum operating_quantity at = by_tip_speed ? OPERATING_TIP_SPEED_M_S : OPERATING_RPM;
    for (size_t i = 0; i < list->curve_count; i++)
        if (has_slope(&list->curves[i], at) &&
            !tell(list, &list->curves[i], by_tip_speed ? "tip speed" : "speed", names_microphones, err))
            return false;
    return true;
}
