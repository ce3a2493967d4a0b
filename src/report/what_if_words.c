/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/what_if_words.h"

#include "base/absent.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define HALF_PCT 50.0
#define LEAST_SHOWN_DB 0.05 /* rounds to 0.1 dB */

static bool is_with(const struct what_if *a, const struct what_if *b)
{
    return a->at == b->at && a->value == b->value && strcmp(a->variant, b->variant) == 0 &&
           strcmp(a->microphone, b->microphone) == 0;
}

/* How far a place is from the middle of the view; places of another operating quantity are equally far. */
static double distance(const struct view *view, const struct what_if *item)
{
    return item->at == view->at && view->value_count > 0 ? fabs(log(item->value / view_middle_point(view))) : HUGE_VAL;
}

struct what_if_list what_ifs_of(const struct view *view, size_t variant)
{
    const struct comparisons *all = &view->results->comparisons;
    struct what_if_list out = { NULL, 0 };
    for (size_t i = 0; i < all->what_if_count; i++) {
        const struct what_if *item = &all->what_ifs[i];
        if (view_variant_of(view, item->variant) != variant || !view_is_of_runs(view, variant, item->microphone))
            continue;
        if (!out.items || distance(view, item) < distance(view, out.items))
            out.items = item;
    }
    while (out.items && out.items + out.count < all->what_ifs + all->what_if_count &&
           is_with(out.items, &out.items[out.count]))
        out.count++;
    return out;
}

/* "2 to 4 kHz", "500 Hz to 1 kHz", "around 3.15 kHz". */
static struct shown band_range(double low_hz, double high_hz)
{
    struct shown out, low = show_plain(low_hz < 1000 ? low_hz : low_hz / 1000, 2);
    struct shown high = show_plain(high_hz < 1000 ? high_hz : high_hz / 1000, 2);
    bool is_mixed = low_hz < 1000 && high_hz >= 1000;
    const char *unit = high_hz < 1000 ? "Hz" : "kHz";
    if (low_hz == high_hz)
        snprintf(out.text, sizeof out.text, "around %.60s %s", low.text, unit);
    else
        snprintf(out.text, sizeof out.text, "%.60s%s to %.60s %s", low.text, is_mixed ? " Hz" : "", high.text, unit);
    return out;
}

static struct shown tones_name(const char *source)
{
    struct shown out;
    if (strncmp(source, "bearing", 7) == 0)
        snprintf(out.text, sizeof out.text, "tones of %s", source);
    else if (strcmp(source, "mains") == 0)
        snprintf(out.text, sizeof out.text, "mains hum");
    else
        snprintf(out.text, sizeof out.text, "%s tones", strcmp(source, "pwm") == 0 ? "PWM" : source);
    return out;
}

struct shown what_if_name(const struct what_if *item)
{
    struct shown out;
    switch (item->kind) {
    case WHAT_IF_TONES:
        return tones_name(item->source);
    case WHAT_IF_BROADBAND:
        snprintf(out.text, sizeof out.text, "broadband noise");
        return out;
    case WHAT_IF_MAIN_BANDS:
        snprintf(out.text, sizeof out.text, "of it %.100s", band_range(item->low_hz, item->high_hz).text);
        return out;
    }
    out.text[0] = '\0';
    return out;
}

bool what_if_is_small(const struct what_if *item)
{
    return item->fall_db < LEAST_SHOWN_DB;
}

struct shown what_if_fall(const struct what_if *item)
{
    struct shown out = show(item->fall_db, 1);
    if (isinf(item->fall_db))
        snprintf(out.text, sizeof out.text, "all");
    else if (what_if_is_small(item))
        snprintf(out.text, sizeof out.text, "< 0.1");
    return out;
}

/* The same within a sentence. */
static struct shown fall_said(const struct what_if *item)
{
    struct shown out;
    if (what_if_is_small(item))
        snprintf(out.text, sizeof out.text, "less than 0.1 dB");
    else
        snprintf(out.text, sizeof out.text, "%.40s dB", what_if_fall(item).text);
    return out;
}

void what_if_left(const struct what_if *item, struct text *out)
{
    for (size_t i = 0; i < item->prominent_left_count; i++)
        text_addf(out, "%s%s", i > 0 ? ", " : "", item->prominent_left[i]);
    if (item->prominent_left_count == 0)
        text_add(out, "none");
}

const char *what_if_lever(const struct what_if *item)
{
    static const struct {
        const char *source, *lever;
    } levers[] = {
        { "broadband", "tip speed, blade area and tips, calm inflow" },
        { "blade", "tip speed, blade count, room to struts" },
        { "shaft", "balance; blades alike in pitch and shape" },
        { "belt", "tension, tooth pitch and form, free spans" },
        { "gear", "finer or slanted teeth, play, grease" },
        { "motor", "timing, current form, softer mount" },
        { "pwm", "PWM frequency" },
        { "mains", "not the rotor's: place, cables" },
        { "unexplained", "see Tones; record the motor alone" },
    };
    if (strncmp(item->source, "bearing", 7) == 0)
        return "change it, preload, seat";
    for (size_t i = 0; i < sizeof levers / sizeof *levers; i++)
        if (strcmp(levers[i].source, item->source) == 0)
            return levers[i].lever;
    return "";
}

/* Of a kind of its own, largest share first; the main bands belong to the broadband noise. */
static const struct what_if *source_at(const struct what_if_list *list, size_t rank)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->items[i].kind != WHAT_IF_MAIN_BANDS && rank-- == 0)
            return &list->items[i];
    return NULL;
}

/* ", most of that from 2 to 4 kHz": the main bands hold at least half of it. */
static void add_main_bands(const struct what_if_list *list, struct text *out)
{
    for (size_t i = 0; i < list->count; i++) {
        const struct what_if *item = &list->items[i];
        if (item->kind == WHAT_IF_MAIN_BANDS)
            text_addf(out, ", most of that %s%s", item->low_hz == item->high_hz ? "" : "from ",
                      band_range(item->low_hz, item->high_hz).text);
    }
}

static bool is_mains(const struct what_if *item)
{
    return strcmp(item->source, "mains") == 0;
}

static void add_first(const struct what_if_list *list, const struct what_if *first, struct text *out)
{
    struct shown share = show(first->share_pct, 0);
    bool is_noise = first->kind == WHAT_IF_BROADBAND, is_one = is_noise || is_mains(first);
    bool is_half = first->share_pct >= HALF_PCT;
    if (is_half)
        text_addf(out, "%s %s %s %% of the A-weighted energy", what_if_name(first).text, is_one ? "carries" : "carry",
                  share.text);
    else
        text_addf(out, "no source carries half of the A-weighted energy; the largest is %s with %s %%",
                  what_if_name(first).text, share.text);
    if (is_noise)
        add_main_bands(list, out);
    if (isinf(first->fall_db)) {
        text_addf(out, ": %s all there is%s", is_one ? "it is" : "they are",
                  is_mains(first) ? ", and not the rotor's" : "");
        return;
    }
    text_addf(out, "%sWithout %s LAeq would fall by %s%s",
              !is_half          ? ". "
              : is_mains(first) ? ": it is not the rotor's, so keep it out of the recording first. "
                                : ": work there first. ",
              is_one ? "it" : "them", fall_said(first).text, what_if_is_small(first) ? "" : " at most");
}

/* The prominent tones of the rotor: mains hum is none of its, and not to be silenced on it. */
static size_t prominent_count(const struct what_if_list *list, const struct what_if **only, bool *has_mains)
{
    size_t count = 0;
    *only = NULL;
    *has_mains = false;
    for (size_t i = 0; i < list->count; i++) {
        const struct what_if *item = &list->items[i];
        if (!item->is_prominent)
            continue;
        *has_mains = *has_mains || is_mains(item);
        if (is_mains(item))
            continue;
        *only = count++ == 0 ? item : *only;
    }
    return count;
}

static void add_prominent(const struct what_if_list *list, struct text *out)
{
    const struct what_if *only;
    bool has_mains;
    size_t count = prominent_count(list, &only, &has_mains);
    if (count == 0)
        text_add(out, "No tone of it is prominent.");
    if (count == 1 && isinf(only->fall_db))
        text_addf(out, "Only its %s are prominent: silent, they leave nothing.", what_if_name(only).text);
    else if (count == 1)
        text_addf(out, "Only its %s are prominent: silent, they take %s off, and no tone%s is prominent any more.",
                  what_if_name(only).text, fall_said(only).text, has_mains ? " of it" : "");
    for (size_t i = 0, told = 0; i < list->count && count > 1; i++)
        if (list->items[i].is_prominent && !is_mains(&list->items[i]))
            text_addf(out, "%s%s",
                      told++ == 0     ? "Prominent are its "
                      : told == count ? " and "
                                      : ", ",
                      what_if_name(&list->items[i]).text);
    if (count > 1)
        text_addf(out, ": silencing one source leaves the other%s prominent.", count > 2 ? "s" : "");
    if (has_mains)
        text_addf(out, " Mains hum is prominent%s, but not the rotor's: nothing done to the rotor takes it off.",
                  count > 0 ? " too" : "");
}

void what_if_advise(const struct what_if_list *list, struct text *out)
{
    const struct what_if *first = source_at(list, 0), *second = source_at(list, 1);
    if (!first)
        return;
    add_first(list, first, out);
    if (second && !what_if_is_small(second))
        text_addf(out, ", without the %s by %s", what_if_name(second).text, fall_said(second).text);
    text_add(out, ". ");
    add_prominent(list, out);
}
