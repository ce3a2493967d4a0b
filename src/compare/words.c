/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/words.h"

#include "base/absent.h"
#include "base/num.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct quantity_words {
    const char *quantity, *unit;
    int decimals;
    bool is_sound_level;
    const char *less, *more;
};

static const struct quantity_words known[] = {
    { "LAeq_db", "dB", 1, true, "quieter", "louder" },
    { "third_octave_db", "dB", 1, true, "quieter", "louder" },
    { "blade_tone_db", "dB", 1, true, "quieter", "louder" },
    { "audibility_db", "dB", 1, false, "lower", "higher" },
    { "loudness_n5_sone", "sone", 1, false, "less loud", "louder" },
    { "sharpness_acum", "acum", 2, false, "less sharp", "sharper" },
    { "roughness_asper", "asper", 2, false, "smoother", "rougher" },
    { "fluctuation_vacil", "vacil", 3, false, "steadier", "more unsteady" },
    { "annoyance", "", 1, false, "lower", "higher" },
    { "annoyance_tonal", "", 1, false, "lower", "higher" },
};
static const struct quantity_words other = { "", "", 2, false, "lower", "higher" };

static const struct quantity_words *words_of_quantity(const char *quantity)
{
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
        if (strcmp(known[i].quantity, quantity) == 0)
            return &known[i];
    return &other;
}

const char *words_of_step(double difference_db)
{
    double size_db = fabs(num_round(difference_db, 1)); /* as it is told */
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

static const char *sign_and_number(const char *plus, double value, int decimals, char *buffer, size_t size)
{
    char digits[32];
    num_format(digits, sizeof digits, value, decimals);
    bool is_negative = digits[0] == '-';
    const char *sign = is_negative ? "\xe2\x88\x92" : num_round(value, decimals) > 0 ? plus : "";
    snprintf(buffer, size, "%s%s", sign, digits + is_negative);
    return buffer;
}

const char *words_number(double value, int decimals, char *buffer, size_t size)
{
    return sign_and_number("", value, decimals, buffer, size);
}

const char *words_signed(double value, int decimals, char *buffer, size_t size)
{
    return sign_and_number("+", value, decimals, buffer, size);
}

static void unclear(const struct comparison *comparison, const struct quantity_words *words, char *buffer, size_t size)
{
    char low[40], high[40], value[40];
    const char *unit = words->unit, *space = *unit ? " " : "";
    words_signed(comparison->ci95_low_db, words->decimals, low, sizeof low);
    words_signed(comparison->ci95_high_db, words->decimals, high, sizeof high);
    words_signed(comparison->difference_db, words->decimals, value, sizeof value);
    if (comparison->verdict == COMPARE_UNKNOWN)
        snprintf(buffer, size, "%s%s%s, but how sure is not known", value, space, unit);
    else if (!isfinite(comparison->ci95_low_db))
        snprintf(buffer, size, "no clear difference (at most %s%s%s)", high, space, unit);
    else if (!isfinite(comparison->ci95_high_db))
        snprintf(buffer, size, "no clear difference (at least %s%s%s)", low, space, unit);
    else
        snprintf(buffer, size, "no clear difference (%s to %s%s%s)", low, high, space, unit);
}

/* The sizes of the ends of the interval, the nearer to 0 first. */
static void ends_of(const struct comparison *comparison, double *near, double *far)
{
    bool is_less = comparison->verdict == COMPARE_QUIETER;
    *near = is_less ? -comparison->ci95_high_db : comparison->ci95_low_db;
    *far = is_less ? -comparison->ci95_low_db : comparison->ci95_high_db;
}

/* By the difference, or by its bound where there is no more than that. */
static const char *step_of(const struct comparison *comparison)
{
    double near, far;
    ends_of(comparison, &near, &far);
    bool is_less = comparison->verdict == COMPARE_QUIETER;
    return words_of_step(isfinite(far) ? comparison->difference_db : is_less ? -near : near);
}

static const char *direction_of(const struct comparison *comparison)
{
    const struct quantity_words *words = words_of_quantity(comparison->quantity);
    return comparison->verdict == COMPARE_QUIETER ? words->less : words->more;
}

const char *words_of_verdict(const struct comparison *comparison, char *buffer, size_t size)
{
    if (comparison->verdict == COMPARE_REFUSED)
        text_fit(buffer, size, "not compared: %s", comparison->reason);
    else if (comparison->verdict == COMPARE_UNKNOWN)
        snprintf(buffer, size, "how sure is not known");
    else if (comparison->verdict == COMPARE_UNCLEAR)
        snprintf(buffer, size, "%s", compare_verdict_key(COMPARE_UNCLEAR));
    else if (words_of_quantity(comparison->quantity)->is_sound_level)
        snprintf(buffer, size, "%s, %s", direction_of(comparison), step_of(comparison));
    else
        snprintf(buffer, size, "%s", direction_of(comparison));
    return buffer;
}

const char *words_of_comparison(const struct comparison *comparison, char *buffer, size_t size)
{
    const struct quantity_words *words = words_of_quantity(comparison->quantity);
    if (comparison->verdict == COMPARE_REFUSED)
        return words_of_verdict(comparison, buffer, size);
    if (!compare_verdict_is_clear(comparison->verdict)) {
        unclear(comparison, words, buffer, size);
        return buffer;
    }
    double near, far;
    ends_of(comparison, &near, &far);
    char value[40], least[40], most[40];
    num_format(value, sizeof value, fabs(comparison->difference_db), words->decimals);
    num_format(least, sizeof least, near, words->decimals);
    num_format(most, sizeof most, far, words->decimals);
    const char *space = *words->unit ? " " : "", *comma = words->is_sound_level ? ", " : "",
               *step = words->is_sound_level ? step_of(comparison) : "";
    if (isfinite(far))
        snprintf(buffer, size, "%s by %s%s%s (%s to %s)%s%s", direction_of(comparison), value, space, words->unit,
                 least, most, comma, step);
    else
        snprintf(buffer, size, "%s by at least %s%s%s%s%s", direction_of(comparison), least, space, words->unit, comma,
                 step);
    return buffer;
}
