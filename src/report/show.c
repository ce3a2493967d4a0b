/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/show.h"

#include "base/absent.h"
#include "base/num.h"
#include "base/text.h"
#include "compare/operating.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "report/clean.h"

#define MINUS "\xe2\x88\x92"
#define DASH "\xe2\x80\x93"

struct shown show(double value, int decimals)
{
    struct shown out;
    char number[48];
    num_format(number, sizeof number, value, decimals);
    bool negative = number[0] == '-';
    snprintf(out.text, sizeof out.text, "%s%s", negative ? MINUS : "", number + negative);
    return out;
}

struct shown show_signed(double value, int decimals)
{
    struct shown plain = show(value, decimals), out;
    bool is_positive = isfinite(value) && num_round(value, decimals) > 0;
    snprintf(out.text, sizeof out.text, "%s%.90s", is_positive ? "+" : "", plain.text);
    return out;
}

struct shown show_interval(double low, double high, int decimals)
{
    struct shown out, from = show_signed(low, decimals), to = show_signed(high, decimals);
    if (!is_given(low) || !is_given(high) || (isinf(low) && isinf(high)))
        snprintf(out.text, sizeof out.text, DASH);
    else if (isinf(low))
        snprintf(out.text, sizeof out.text, "at most %.40s", to.text);
    else if (isinf(high))
        snprintf(out.text, sizeof out.text, "at least %.40s", from.text);
    else
        snprintf(out.text, sizeof out.text, "%.40s to %.40s", from.text, to.text);
    return out;
}

static int operating_decimals(enum operating_quantity at)
{
    switch (at) {
    case OPERATING_THRUST_N:
        return 2;
    case OPERATING_POWER_W:
    case OPERATING_TIP_SPEED_M_S:
    case OPERATING_THROTTLE_PCT:
        return 1;
    case OPERATING_RPM:
    case OPERATING_QUANTITY_COUNT:
        return 0;
    }
    return 0;
}

struct shown show_plain(double value, int decimals)
{
    struct shown out = show(value, decimals);
    size_t length = strlen(out.text);
    if (!strchr(out.text, '.'))
        return out;
    while (out.text[length - 1] == '0')
        length--;
    out.text[out.text[length - 1] == '.' ? length - 1 : length] = '\0';
    return out;
}

struct shown show_operating(enum operating_quantity at, double value)
{
    struct shown out, number = show_plain(value, operating_decimals(at));
    snprintf(out.text, sizeof out.text, "%.80s %s", number.text, operating_unit(at));
    return out;
}

struct shown show_operating_interval(enum operating_quantity at, double low, double high)
{
    struct shown out = { "" }, from = show_operating(at, low), to = show_operating(at, high);
    if (isfinite(low) && isfinite(high))
        snprintf(out.text, sizeof out.text, "%.80s to %.80s", from.text, to.text);
    else if (isfinite(low))
        snprintf(out.text, sizeof out.text, "at least %.80s", from.text);
    else if (isfinite(high))
        snprintf(out.text, sizeof out.text, "at most %.80s", to.text);
    else
        snprintf(out.text, sizeof out.text, DASH);
    return out;
}

struct shown show_operating_axis(enum operating_quantity at)
{
    struct shown out;
    snprintf(out.text, sizeof out.text, "%s, %s", operating_name(at), operating_unit(at));
    out.text[0] = (char)toupper((unsigned char)out.text[0]);
    return out;
}

const char *show_run_unit(const struct run_result *run)
{
    return run->is_absolute ? "dB re 20 \xc2\xb5Pa" : "dBFS";
}

const char *show_level_unit(const struct results *results)
{
    bool any_absolute = false, any_relative = false;
    for (size_t i = 0; i < results->run_count; i++) {
        if (results->runs[i].error[0])
            continue;
        any_absolute = any_absolute || results->runs[i].is_absolute;
        any_relative = any_relative || !results->runs[i].is_absolute;
    }
    if (any_absolute && any_relative)
        return "dB, references differ";
    return any_absolute || results->is_absolute ? "dB re 20 \xc2\xb5Pa" : "dBFS";
}

static const struct {
    const char *key;
    struct quantity_text text;
} quantities[] = {
    { "LAeq_db", { "A-weighted level LAeq", "LAeq", NULL, 1 } },
    { "third_octave_db", { "Third-octave level", "Third octave", NULL, 1 } },
    { "blade_tone_db", { "Blade tones together", "Blade tones", NULL, 1 } },
    { "loudness_n5_sone", { "Loudness N5", "Loudness N5", "sone", 1 } },
    { "loudness_mean_sone", { "Loudness, mean", "Loudness, mean", "sone", 1 } },
    { "loudness_stationary_sone", { "Loudness N", "Loudness N", "sone", 1 } },
    { "loudness_level_phon", { "Loudness level", "Loudness level", "phon", 1 } },
    { "sharpness_acum", { "Sharpness", "Sharpness", "acum", 2 } },
    { "roughness_asper", { "Roughness", "Roughness", "asper", 2 } },
    { "fluctuation_vacil", { "Fluctuation strength", "Fluctuation", "vacil", 3 } },
    { "annoyance", { "Psychoacoustic annoyance", "Annoyance", "", 1 } },
    { "annoyance_tonal", { "Annoyance with tonality", "Annoyance, tonal", "", 1 } },
    { "audibility_db", { "Tonal audibility", "Audibility", "dB", 1 } },
    { "power_loading_n_w", { "Power loading", "Power loading", "N/W", 4 } },
    { "figure_of_merit", { "Figure of merit", "Figure of merit", "", 3 } },
};

struct quantity_text show_quantity(const char *key)
{
    for (size_t i = 0; i < sizeof quantities / sizeof *quantities; i++)
        if (strcmp(quantities[i].key, key) == 0)
            return quantities[i].text;
    return (struct quantity_text){ key, key, "", 2 };
}

struct shown show_quantity_header(const struct results *results, const char *key)
{
    struct shown out;
    struct quantity_text text = show_quantity(key);
    const char *unit = text.unit ? text.unit : show_level_unit(results);
    snprintf(out.text, sizeof out.text, "%.60s%s%.30s", text.name, unit[0] ? ", " : "", unit);
    return out;
}

struct shown show_brief_header(const char *key)
{
    struct shown out;
    struct quantity_text text = show_quantity(key);
    const char *unit = text.unit ? text.unit : "dB";
    snprintf(out.text, sizeof out.text, "%.60s%s%.30s", text.brief, unit[0] ? ", " : "", unit);
    return out;
}

struct shown show_hz(double hz)
{
    return show(hz, hz < 1000 ? 2 : 1);
}

const char *show_drive(const struct variant *variant)
{
    switch (variant->drive) {
    case DRIVE_DIRECT:
        return "direct";
    case DRIVE_BELT:
        return "belt";
    case DRIVE_GEAR:
        return "gear";
    }
    return "";
}

static struct shown name_and_title(const struct variant *variant, size_t name_most, size_t title_most)
{
    struct shown out;
    char name[180], title[180];
    clean_copy(name, sizeof name, variant->name, 40);
    clean_copy(title, sizeof title, variant->title, title_most);
    if (title[0] && strlen(name) <= name_most && strcmp(variant->title, variant->name) != 0)
        text_fit(out.text, sizeof out.text, "%s (%s)", name, title);
    else
        snprintf(out.text, sizeof out.text, "%s", name);
    return out;
}

struct shown show_variant(const struct variant *variant)
{
    return name_and_title(variant, 20, 26);
}

struct shown show_variant_whole(const struct variant *variant)
{
    return name_and_title(variant, 60, 60);
}
