/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/words.h"

#include "base/absent.h"
#include "base/num.h"

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
    { 0.1, "about a tenth as loud as" },
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
    { 10, "about ten times as loud as" },
};
#define SHARE_COUNT (sizeof shares / sizeof shares[0])

static const char *loudness_words(double ratio)
{
    if (ratio < WORDS_SAME_LOUDNESS && ratio > 1 / WORDS_SAME_LOUDNESS)
        return "about as loud as";
    if (ratio <= WORDS_SLIGHT_LOUDNESS && ratio >= 1 / WORDS_SLIGHT_LOUDNESS)
        return ratio < 1 ? "slightly less loud than" : "slightly louder than";
    if (ratio < 1 / WORDS_MOST_LOUDNESS || ratio > WORDS_MOST_LOUDNESS)
        return ratio < 1 ? "less than a tenth as loud as" : "more than ten times as loud as";
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

/* A source as rotor/ names it: "belt mesh 1" is the part "belt mesh" and its harmonic 1. */
struct source {
    const char *part;
    size_t length;
    int harmonic; /* 0: it has no number */
};

static struct source source_of(const char *text)
{
    struct source source = { text, strlen(text), 0 };
    const char *last = strrchr(text, ' ');
    int number = 0;
    if (!last || last[1] == '\0')
        return source;
    for (const char *digit = last + 1; *digit != '\0'; digit++) {
        if (*digit < '0' || *digit > '9' || number > 9999)
            return source;
        number = 10 * number + (*digit - '0');
    }
    return (struct source){ text, (size_t)(last - text), number };
}

static bool is_part(const struct source *source, const char *part)
{
    return source->length == strlen(part) && memcmp(source->part, part, source->length) == 0;
}

/* Whether the tone is one of the rotor and its drive. */
static bool is_own(const struct source *source)
{
    return source->length > 0 && !is_part(source, "unexplained") && !is_part(source, "mains");
}

static const char *ordinal_ending(int number)
{
    if (number % 100 >= 11 && number % 100 <= 13)
        return "th";
    return number % 10 == 1 ? "st" : number % 10 == 2 ? "nd" : number % 10 == 3 ? "rd" : "th";
}

/* "bearing front outer" -> "front bearing's ", and the part is "outer race" from then on. */
static void take_bearing(struct source *source, struct text *out)
{
    static const char word[] = "bearing ";
    size_t skipped = sizeof word - 1, end = source->length;
    if (end <= skipped || memcmp(source->part, word, skipped) != 0)
        return;
    while (end > skipped && source->part[end - 1] != ' ')
        end--;
    if (end > skipped + 1)
        text_add_bytes(out, source->part + skipped, end - skipped);
    text_add(out, "bearing's ");
    source->part += end;
    source->length -= end;
    if (is_part(source, "outer") || is_part(source, "inner"))
        *source = (struct source){ source->part[0] == 'o' ? "outer race" : "inner race", strlen("outer race"),
                                   source->harmonic };
}

/* "belt mesh tone", "2nd blade harmonic", "front bearing's outer race tone", "mains hum". */
static void add_tone_name(struct source source, struct text *out)
{
    if (is_part(&source, "mains")) {
        text_add(out, "mains hum");
        return;
    }
    if (!is_own(&source)) {
        text_add(out, "tone of unknown source");
        return;
    }
    take_bearing(&source, out);
    if (is_part(&source, "pwm"))
        source.part = "PWM";
    if (source.harmonic > 1)
        text_addf(out, "%d%s ", source.harmonic, ordinal_ending(source.harmonic));
    text_add_bytes(out, source.part, source.length);
    text_add(out, source.harmonic > 1 ? " harmonic" : " tone");
}

static void add_frequency(double hz, struct text *out)
{
    char number[32];
    if (is_given(hz))
        text_addf(out, " at %s Hz", num_format(number, sizeof number, hz, hz < 100 ? 1 : 0));
}

/* The tone that stands out most. */
struct prominent {
    struct source source;
    double hz;
};

static struct prominent prominent_of(const struct tonality *tonality)
{
    return (struct prominent){ source_of(tonality->prominent_source), tonality->prominent_hz };
}

void hearing_words_prominent_tone(const struct tonality *tonality, struct text *out)
{
    if (!tonality->is_prominent)
        return;
    struct prominent tone = prominent_of(tonality);
    add_tone_name(tone.source, out);
    add_frequency(tone.hz, out);
}

/* The hum is the place's, not the rotor's. */
static void add_hum_verdict(const struct prominent *hum, const char *title, bool begins, struct text *out)
{
    text_add(out, begins ? "Mains hum" : "mains hum");
    add_frequency(hum->hz, out);
    text_addf(out, " is prominent in %s", title ? "the recording of " : "its recording");
    text_add(out, title ? title : "");
}

/* "slow5 has no prominent tone", "slow5 has a prominent tone of unknown source at 4250 Hz", "the belt mesh tone of
 * slow5 at 840 Hz is prominent", after "so is " without the verb. `title` NULL: the rotor spoken of, "It" or "Its". */
static void add_verdict(const struct tonality *tonality, const char *title, const char *article, bool has_verb,
                        struct text *out)
{
    const char *subject = title ? title : "It";
    if (!tonality->is_prominent) {
        text_addf(out, "%s has no prominent tone", subject);
        return;
    }
    struct prominent tone = prominent_of(tonality);
    if (is_part(&tone.source, "mains")) {
        add_hum_verdict(&tone, title, !title || article[0] == 'T', out);
        return;
    }
    bool own = is_own(&tone.source);
    if (own)
        text_add(out, title ? article : "Its ");
    else
        text_addf(out, "%s has a prominent ", subject);
    add_tone_name(tone.source, out);
    if (own && title)
        text_addf(out, " of %s", title);
    add_frequency(tone.hz, out);
    if (own && has_verb)
        text_add(out, " is prominent");
}

static bool has_own(const struct tonality *tonality)
{
    struct prominent tone = prominent_of(tonality);
    return tonality->is_prominent && is_own(&tone.source);
}

static void compare_tones(const struct hearing_words_input *variant, const struct hearing_words_input *reference,
                          bool is_known, struct text *out)
{
    const struct tonality *here = variant->tonality, *there = reference->tonality;
    if (!here || !there || (!here->is_prominent && !there->is_prominent))
        return;
    bool are_alike = has_own(here) && has_own(there);
    begin_sentence(out);
    add_verdict(here, is_known ? NULL : variant->title, "The ", true, out);
    text_add(out, are_alike ? "; so is " : "; ");
    add_verdict(there, reference->title, "the ", !are_alike, out);
    text_add(out, ".");
}

void hearing_words_compare(const struct hearing_words_input *variant, const struct hearing_words_input *reference,
                           struct text *out)
{
    bool is_known = compare_loudness(variant, reference, out);
    is_known = compare_character(variant, reference, is_known, out);
    compare_tones(variant, reference, is_known, out);
}
