/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/words.h"

#include "base/absent.h"
#include "base/num.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const struct {
    const char *quantity, *unit;
    int decimals;
} units[] = {
    { "LAeq_db", "dB", 1 },
    { "third_octave_db", "dB", 1 },
    { "blade_tone_db", "dB", 1 },
    { "audibility_db", "dB", 1 },
    { "loudness_n5_sone", "sone", 1 },
    { "sharpness_acum", "acum", 2 },
    { "roughness_asper", "asper", 2 },
    { "fluctuation_vacil", "vacil", 2 },
    { "annoyance", "", 1 },
};

static const char *unit_of(const char *quantity)
{
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (strcmp(units[i].quantity, quantity) == 0)
            return units[i].unit;
    return "";
}

static int decimals_of(const char *quantity)
{
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (strcmp(units[i].quantity, quantity) == 0)
            return units[i].decimals;
    return 2;
}

const char *words_of_step(double difference_db)
{
    double size_db = fabs(difference_db);
    if (size_db < 1)
        return "hardly noticeable";
    if (size_db < 3)
        return "just noticeable";
    if (size_db < 6)
        return "clearly audible";
    if (size_db < 10)
        return "a large step";
    return difference_db < 0 ? "about half as loud or less" : "about twice as loud or more";
}

static bool is_sound_level(const char *quantity)
{
    return strcmp(quantity, "LAeq_db") == 0 || strcmp(quantity, "third_octave_db") == 0 ||
           strcmp(quantity, "blade_tone_db") == 0;
}

static const char *signed_number(char *buffer, size_t size, double value, int decimals)
{
    char digits[32];
    num_format(digits, sizeof digits, value, decimals);
    snprintf(buffer, size, "%s%s", num_round(value, decimals) > 0 ? "+" : "", digits);
    return buffer;
}

static void unclear(const struct comparison *comparison, const char *unit, int decimals, char *buffer, size_t size)
{
    char low[40], high[40], value[40];
    signed_number(low, sizeof low, comparison->ci95_low_db, decimals);
    signed_number(high, sizeof high, comparison->ci95_high_db, decimals);
    signed_number(value, sizeof value, comparison->difference_db, decimals);
    if (!is_given(comparison->ci95_low_db))
        snprintf(buffer, size, "%s%s%s, but how sure is not known", value, *unit ? " " : "", unit);
    else if (!isfinite(comparison->ci95_low_db))
        snprintf(buffer, size, "no clear difference (at most %s%s%s)", high, *unit ? " " : "", unit);
    else if (!isfinite(comparison->ci95_high_db))
        snprintf(buffer, size, "no clear difference (at least %s%s%s)", low, *unit ? " " : "", unit);
    else
        snprintf(buffer, size, "no clear difference (%s to %s%s%s)", low, high, *unit ? " " : "", unit);
}

const char *words_of_comparison(const struct comparison *comparison, char *buffer, size_t size)
{
    const char *unit = unit_of(comparison->quantity);
    int decimals = decimals_of(comparison->quantity);
    bool is_level = is_sound_level(comparison->quantity), is_less = comparison->verdict == COMPARE_QUIETER;
    if (comparison->verdict == COMPARE_REFUSED) {
        snprintf(buffer, size, "not compared: %s", comparison->reason);
        return buffer;
    }
    if (comparison->verdict == COMPARE_UNCLEAR) {
        unclear(comparison, unit, decimals, buffer, size);
        return buffer;
    }
    const char *direction = is_level ? (is_less ? "quieter" : "louder") : is_less ? "lower" : "higher";
    double near = is_less ? -comparison->ci95_high_db : comparison->ci95_low_db;
    double far = is_less ? -comparison->ci95_low_db : comparison->ci95_high_db;
    char value[40], least[40], most[40];
    num_format(value, sizeof value, fabs(comparison->difference_db), decimals);
    num_format(least, sizeof least, near, decimals);
    num_format(most, sizeof most, far, decimals);
    const char *step = words_of_step(isfinite(far) ? comparison->difference_db : is_less ? -near : near);
    if (isfinite(far))
        snprintf(buffer, size, "%s by %s%s%s (%s to %s)%s%s", direction, value, *unit ? " " : "", unit, least, most,
                 is_level ? ", " : "", is_level ? step : "");
    else
        snprintf(buffer, size, "%s by at least %s%s%s%s%s", direction, least, *unit ? " " : "", unit,
                 is_level ? ", " : "", is_level ? step : "");
    return buffer;
}
