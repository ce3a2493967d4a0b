/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/why.h"

#include "base/absent.h"
#include "report/show.h"
#include "report/why_where.h"

#include <math.h>
#include <string.h>

#define LEAST_TOLD_DB 0.5

struct reason {
    const struct comparison *item; /* NULL: nothing to be told */
    double blade_db, other_db, broadband_db;
    const struct contribution *band; /* that carries most, in the direction of the difference; NULL: not known */
};

static bool is_about(const struct view *view, const struct contribution *item, double at, size_t variant)
{
    return item->at == view->at && view_is_at(view, item->value, at) &&
           view_variant_of(view, item->variant) == variant && view_is_of_pairs(view, variant, item->microphone);
}

double why_part(const struct view *view, double at, size_t variant, const char *part)
{
    const struct comparisons *all = &view->results->comparisons;
    for (size_t i = 0; i < all->contribution_count; i++)
        if (is_about(view, &all->contributions[i], at, variant) && strcmp(all->contributions[i].part, part) == 0)
            return all->contributions[i].share_db;
    return ABSENT;
}

static const struct contribution *main_band(const struct view *view, double at, size_t variant, double sign)
{
    const struct comparisons *all = &view->results->comparisons;
    const struct contribution *best = NULL;
    for (size_t i = 0; i < all->contribution_count; i++) {
        const struct contribution *item = &all->contributions[i];
        if (is_about(view, item, at, variant) && is_given(item->band_hz) &&
            (!best || item->share_db * sign > best->share_db * sign))
            best = item;
    }
    return best;
}

static struct reason find_reason(const struct view *view, double at, size_t variant)
{
    struct reason out = { view_comparison(view, at, "LAeq_db", ABSENT, variant), ABSENT, ABSENT, ABSENT, NULL };
    if (!out.item || !(fabs(out.item->difference_db) >= LEAST_TOLD_DB)) {
        out.item = NULL;
        return out;
    }
    out.blade_db = why_part(view, at, variant, "blade tones");
    out.other_db = why_part(view, at, variant, "other tones");
    out.broadband_db = why_part(view, at, variant, "broadband");
    out.band = main_band(view, at, variant, out.item->difference_db < 0 ? -1 : 1);
    if (!is_given(out.blade_db) || !is_given(out.broadband_db) || !out.band)
        out.item = NULL;
    return out;
}

static enum why_part_kind main_part(const struct reason *reason)
{
    double sign = reason->item->difference_db < 0 ? -1 : 1;
    double blade = reason->blade_db * sign, other = reason->other_db * sign, broadband = reason->broadband_db * sign;
    if (blade >= broadband && !(other > blade))
        return WHY_BLADE_TONES;
    return other > broadband ? WHY_OTHER_TONES : WHY_BROADBAND;
}

static const char *part_name(enum why_part_kind kind)
{
    switch (kind) {
    case WHY_BLADE_TONES:
        return "the blade tones";
    case WHY_OTHER_TONES:
        return "tones other than the blades'";
    case WHY_BROADBAND:
        return "the broadband noise";
    }
    return "";
}

/* "blade 2 of tri at 366 Hz". */
static void add_tone(const struct view *view, const struct tone *tone, size_t rotor, struct text *out)
{
    text_addf(out, "%s of %s at %s Hz", strcmp(tone->source, "unexplained") == 0 ? "an unexplained one" : tone->source,
              view_variant(view, rotor)->name, show(tone->hz, 0).text);
}

void why_add_short(const struct view *view, double at, size_t variant, struct text *out)
{
    struct reason reason = find_reason(view, at, variant);
    if (!reason.item)
        return;
    enum why_part_kind kind = main_part(&reason);
    double difference_db = reason.item->difference_db;
    text_addf(out, "Why: at %s most of it lies in %s", show_operating(view->at, at).text, part_name(kind));
    if (kind == WHY_BROADBAND) {
        double band_hz = why_noise_band(view, at, variant, difference_db);
        if (is_given(band_hz))
            text_addf(out, ", above all around %s Hz", show_plain(band_hz, 1).text);
    } else {
        size_t rotor;
        const struct tone *tone = why_tone(view, at, variant, difference_db, kind, &rotor);
        if (tone) {
            text_add(out, ", the strongest of them ");
            add_tone(view, tone, rotor, out);
        }
    }
    text_add(out, ". ");
}

void why_add_parts(const struct view *view, double at, size_t variant, struct text *out)
{
    struct reason reason = find_reason(view, at, variant);
    if (!reason.item)
        return;
    text_addf(out,
              "Where the %s dB against %s at %s come from: blade tones %s, other tones %s, broadband noise %s. Of all "
              "third octaves that at %s Hz carries most, %s",
              show_signed(reason.item->difference_db, 1).text, reason.item->reference,
              show_operating(view->at, at).text, show_signed(reason.blade_db, 1).text,
              show_signed(reason.other_db, 1).text, show_signed(reason.broadband_db, 1).text,
              show_plain(reason.band->band_hz, 1).text, show_signed(reason.band->share_db, 1).text);
    size_t rotor;
    const struct tone *tone =
        why_tone_in_band(view, at, variant, reason.item->difference_db, reason.band->band_hz, &rotor);
    if (tone) {
        text_add(out, ": in it lies ");
        add_tone(view, tone, rotor, out);
    }
    text_add(out, ".");
}
