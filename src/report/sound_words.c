/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/sound_words.h"

#include "base/absent.h"
#include "hearing/words.h"

#include <math.h>

static void take_fitted(const struct view *view, double at, size_t variant, const char *quantity, double *figure)
{
    struct view_value value;
    if (view_value(view, at, quantity, ABSENT, variant, &value))
        *figure = value.value;
}

static bool take(const struct view *view, double at, size_t variant, struct hearing_words_input *out)
{
    const struct run_result *run = view_run(view, variant, at);
    if (!run)
        return false;
    hearing_words_take(out, view_variant(view, variant)->name, &run->figures.hearing, &run->tonality);
    take_fitted(view, at, variant, "loudness_n5_sone", &out->loudness_n5_sone);
    take_fitted(view, at, variant, "sharpness_acum", &out->sharpness_acum);
    take_fitted(view, at, variant, "roughness_asper", &out->roughness_asper);
    take_fitted(view, at, variant, "fluctuation_vacil", &out->fluctuation_vacil);
    return true;
}

/* (v - r) / r + 1 = v / r, so an end of the difference's interval gives one of the ratio's (to first order). */
static void take_interval(const struct comparison *item, struct hearing_words_input *out)
{
    if (!item || !(item->reference_value > 0))
        return;
    out->loudness_ratio_low = 1 + item->ci95_low_db / item->reference_value;
    out->loudness_ratio_high = 1 + item->ci95_high_db / item->reference_value;
}

void sound_words_compare(const struct view *view, double at, size_t variant, struct text *out)
{
    struct hearing_words_input ours, theirs;
    struct text words = { 0 };
    const struct comparison *loudness = view_comparison(view, at, "loudness_n5_sone", ABSENT, variant);
    if (variant == view->results->reference || (loudness && loudness->verdict == COMPARE_REFUSED) ||
        !take(view, at, variant, &ours) || !take(view, at, view->results->reference, &theirs))
        return;
    take_interval(loudness, &ours);
    hearing_words_compare(&ours, &theirs, &words);
    if (words.data)
        text_add(out, words.data);
    out->failed = out->failed || words.failed;
    text_clear(&words);
}

void sound_words_tone(const struct run_result *run, struct text *out)
{
    hearing_words_prominent_tone(&run->tonality, out);
}
