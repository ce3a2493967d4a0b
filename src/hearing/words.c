/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/words.h"

#include "base/absent.h"

#include <math.h>
#include <string.h>

void hearing_words_take(struct hearing_words_input *input, const char *title, const struct hearing_figures *hearing,
                        const struct tonality *tonality)
{
    *input = (struct hearing_words_input){ .title = title,
                                           .loudness_n5_sone = hearing->loudness_n5_sone,
                                           .sharpness_acum = hearing->sharpness_acum,
                                           .roughness_asper = hearing->roughness_asper,
                                           .fluctuation_vacil = hearing->fluctuation_vacil,
                                           .loudness_ratio_low = ABSENT,
                                           .loudness_ratio_high = ABSENT,
                                           .tonality = tonality };
}

/* Plain fractions and multiples; each holds half way (by ratio) to its neighbours. */
static const struct {
    double ratio;
    const char *words;
} shares[] = {
    { 0.1, "a tenth as loud as" },
    { 0.2, "about a fifth as loud as" },
    { 0.25, "about a quarter as loud as" },
    { 1.0 / 3, "about a third as loud as" },
    { 0.5, "about half as loud as" },
    { 2.0 / 3, "about two thirds as loud as" },
    { 0.75, "about three quarters as loud as" },
    { 4.0 / 3, "about a third louder than" },
    { 1.5, "about one and a half times as loud as" },
    { 2, "about twice as loud as" },
    { 3, "about three times as loud as" },
    { 4, "about four times as loud as" },
    { 5, "about five times as loud as" },
    { 10, "ten times as loud as or more than" },
};
#define SHARE_COUNT (sizeof shares / sizeof shares[0])

static const char *loudness_words(double ratio)
{
    if (ratio < WORDS_SAME_LOUDNESS && ratio > 1 / WORDS_SAME_LOUDNESS)
        return "about as loud as";
    if (ratio <= WORDS_SLIGHT_LOUDNESS && ratio >= 1 / WORDS_SLIGHT_LOUDNESS)
        return ratio < 1 ? "slightly less loud than" : "slightly louder than";
    size_t nearest = 0;
    for (size_t i = 1; i < SHARE_COUNT; i++)
        if (fabs(log(ratio / shares[i].ratio)) < fabs(log(ratio / shares[nearest].ratio)))
            nearest = i;
    return shares[nearest].words;
}

static void begin_sentence(struct text *out)
{
    if (out->length > 0 && out->data[out->length - 1] != ' ')
        text_add(out, " ");
}

/* Says how loud, and whether the variant is what "it" now stands for. */
static bool compare_loudness(const struct hearing_words_input *variant, const struct hearing_words_input *reference,
                             struct text *out)
{
    double ratio = variant->loudness_n5_sone / reference->loudness_n5_sone;
    if (!isfinite(ratio) || !(ratio > 0))
        return false;
    begin_sentence(out);
    if (variant->loudness_ratio_low <= 1 && variant->loudness_ratio_high >= 1) {
        text_addf(out, "%s and %s do not clearly differ in loudness.", variant->title, reference->title);
        return false;
    }
    text_addf(out, "%s is %s %s.", variant->title, loudness_words(ratio), reference->title);
    return true;
}

/* "sharper and rougher", "sharper, rougher and less unsteady": joins what differs. */
struct list {
    const char *items[3];
    size_t count;
};

static void note(struct list *list, double difference, double step, const char *more, const char *less)
{
    if (difference >= step)
        list->items[list->count++] = more;
    else if (difference <= -step)
        list->items[list->count++] = less;
}

/* A step is a share of the larger value, and neither counts while both are below what is heard at all. */
static double relative_difference(double variant, double reference, double least)
{
    double larger = fmax(variant, reference);
    if (!is_given(variant) || !is_given(reference) || larger < least)
        return 0;
    return (variant - reference) / larger;
}

static bool compare_character(const struct hearing_words_input *variant, const struct hearing_words_input *reference,
                              bool is_known, struct text *out)
{
    struct list list = { .count = 0 };
    note(&list, variant->sharpness_acum - reference->sharpness_acum, WORDS_SHARPNESS_STEP_ACUM, "sharper",
         "less sharp");
    note(&list, relative_difference(variant->roughness_asper, reference->roughness_asper, WORDS_ROUGHNESS_LEAST_ASPER),
         WORDS_ROUGHNESS_STEP, "rougher", "smoother");
    note(&list,
         relative_difference(variant->fluctuation_vacil, reference->fluctuation_vacil, WORDS_FLUCTUATION_LEAST_VACIL),
         WORDS_FLUCTUATION_STEP, "more unsteady", "steadier");
    if (list.count == 0)
        return is_known;
    begin_sentence(out);
    text_addf(out, "%s sounds ", is_known ? "It" : variant->title);
    for (size_t i = 0; i < list.count; i++)
        text_addf(out, "%s%s", i == 0 ? "" : i + 1 == list.count ? " and " : ", ", list.items[i]);
    if (!is_known)
        text_addf(out, " than %s", reference->title);
    text_add(out, ".");
    return true;
}

/* "belt mesh 1" -> "belt mesh", and the number; a source without one has number 0. */
static int split_source(const char *source, size_t *name_length)
{
    const char *last = strrchr(source, ' ');
    int number = 0;
    *name_length = strlen(source);
    if (!last || last[1] == '\0')
        return 0;
    for (const char *digit = last + 1; *digit != '\0'; digit++) {
        if (*digit < '0' || *digit > '9' || number > 9999)
            return 0;
        number = 10 * number + (*digit - '0');
    }
    *name_length = (size_t)(last - source);
    return number;
}

void hearing_words_prominent_tone(const struct tonality *tonality, struct text *out)
{
    if (!tonality->is_prominent)
        return;
    bool is_known = tonality->prominent_hz > 0; /* older results know the decisive tone only */
    double hz = is_known ? tonality->prominent_hz : tonality->decisive_hz;
    const char *source = is_known ? tonality->prominent_source : tonality->decisive_source;
    size_t length;
    int number = split_source(source, &length);
    if (length == 0 || strcmp(source, "unexplained") == 0)
        text_add(out, "a tone of unknown source");
    else
        text_addf(out, "its %.*s tone", (int)length, source);
    if (number > 1)
        text_addf(out, " number %d", number);
    if (is_given(hz))
        text_addf(out, " at %.4g Hz", hz);
}

static void compare_tones(const struct hearing_words_input *variant, const struct hearing_words_input *reference,
                          bool is_known, struct text *out)
{
    if (!variant->tonality || !reference->tonality)
        return;
    bool here = variant->tonality->is_prominent, there = reference->tonality->is_prominent;
    if (!here && !there)
        return;
    const char *subject = is_known ? "It" : variant->title;
    begin_sentence(out);
    if (!here) {
        text_addf(out, "%s has no prominent tone, %s has.", subject, reference->title);
        return;
    }
    struct text tone = { 0 };
    hearing_words_prominent_tone(variant->tonality, &tone);
    if (tone.failed)
        out->failed = true;
    else if (is_known && strncmp(tone.data, "its ", 4) == 0)
        text_addf(out, "Its %s is prominent", tone.data + 4);
    else
        text_addf(out, "%s has a prominent tone, %s", subject, tone.data);
    text_addf(out, there ? "; %s has a prominent tone as well." : "; %s has none.", reference->title);
    text_clear(&tone);
}

void hearing_words_compare(const struct hearing_words_input *variant, const struct hearing_words_input *reference,
                           struct text *out)
{
    bool is_known = compare_loudness(variant, reference, out);
    is_known = compare_character(variant, reference, is_known, out);
    compare_tones(variant, reference, is_known, out);
}
