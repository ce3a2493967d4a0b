/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/warnings.h"

#include "base/text.h"
#include "report/gauge.h"

#include <string.h>

#define LINES_MAX 4
#define NAMES_MAX 3
#define PART_OF_RUNS 3 /* wear: so many times the runs that say so are all of the rotor's or more */

enum urgency { STOP, LOOK_OVER, CHECK };

static const char *const urgency_words[] = { "Stop and look", "Look it over", "Check" };

/* The most urgent first. */
static const struct sign {
    enum urgency urgency;
    bool is_of_comparison; /* else of the machine, from the tones of its runs */
    const char *phrase;
    const char *name_end; /* of a comparison: what follows the name of rotor or run that it begins with */
    const char *words;
} signs[] = {
    { STOP, true, "stop and look it over before it runs faster", " changes with speed",
      "its shaft's own tones grow with speed against the blades'; don't run it faster before that" },
    { STOP, false, "something may be loose or rub", NULL,
      "something may be loose or rub; check screws, hub and clearances" },
    { STOP, false, "it may be an imbalance, a bent shaft or a blade out of track", NULL,
      "it may be out of balance, its shaft bent or a blade out of track" },
    { LOOK_OVER, false, "A bearing may be worn", NULL, "a bearing may be worn; turn it by hand, power off" },
    { LOOK_OVER, false, "The belt may have a bad tooth or splice", NULL, "the belt may have a bad tooth or splice" },
    { LOOK_OVER, false, "Rotor and motor do not match the ratio", NULL,
      "rotor and motor do not turn by the drive's ratio: it slips, or a tooth count or a speed is wrong" },
    { LOOK_OVER, false, "Blades may be unequal, bent or unbalanced", NULL,
      "its blades may be unequal, bent or unbalanced" },
    { LOOK_OVER, false, "Blades may be alike in pairs but not between them", NULL,
      "its blades may be alike in pairs but not between them" },
    { CHECK, true, " than the other runs of it tell", " (row ",
      "far louder or quieter than the other runs of the same rotor tell; see to its channel, gain and line of the "
      "log" },
    { CHECK, true, " than its other operating points tell", " at ",
      "at one operating point far louder or quieter than at the others: something may resonate there" },
    { CHECK, true, " than the earlier ones, by ", " of ",
      "they lie off the earlier ones by the same step: gain, microphone or place was changed between rounds" },
    { CHECK, true, "without them there is no answer", " against ", "its comparison rests on doubtful runs alone" },
};

/* "slow5 (3 of 8 runs), swept3 and 2 more". */
struct names {
    struct text text;
    size_t count;
    const char *last; /* the name that was added last, so that none comes twice in a row */
    size_t last_length;
};

static void add_name(struct names *names, const char *name, size_t length)
{
    if (names->last && names->last_length == length && strncmp(names->last, name, length) == 0)
        return;
    names->last = name;
    names->last_length = length;
    if (names->count++ < NAMES_MAX)
        text_addf(&names->text, "%s%.*s", names->count > 1 ? ", " : "", (int)length, name);
}

/* The remark that is the sign, or NULL. */
static const char *sign_of(const struct run_result *run, const struct sign *sign)
{
    for (size_t i = 0; i < run->rotor.remark_count; i++)
        if (strstr(run->rotor.remarks[i], sign->phrase))
            return run->rotor.remarks[i];
    return NULL;
}

static void add_machine(const struct view *view, const struct sign *sign, size_t variant, struct names *names)
{
    const char *name = view_variant(view, variant)->name;
    size_t run_count = 0, told_count = 0, before = names->count;
    struct gauge gauge, worst = { 0 };
    for (size_t i = 0; i < view->results->run_count; i++) {
        const struct run_result *run = &view->results->runs[i];
        if (run_result_verdict(run) == SEVERITY_UNUSABLE || view_variant_of(view, run->variant) != variant)
            continue;
        run_count++;
        const char *remark = sign_of(run, sign);
        told_count += remark != NULL;
        if (remark && gauge_of(remark, &gauge) && (!worst.words || gauge_is_worse(&gauge, &worst)))
            worst = gauge;
    }
    if (told_count == 0 || (sign->urgency != STOP && told_count * PART_OF_RUNS < run_count))
        return;
    add_name(names, name, strlen(name));
    if (before >= NAMES_MAX)
        return;
    text_addf(&names->text, " (%zu of %zu runs", told_count, run_count);
    if (worst.words && worst.words[0] == '%') /* dB below some orders say little to who looks first */
        text_addf(&names->text, ", %s %s %s", worst.is_less_worse ? "down to" : "up to", worst.figure, worst.words);
    text_add(&names->text, ")");
}

static void find_names(const struct view *view, const struct sign *sign, struct names *names)
{
    const struct comparisons *all = &view->results->comparisons;
    for (size_t v = 0; v < view_variant_count(view) && !sign->is_of_comparison; v++)
        add_machine(view, sign, v, names);
    for (size_t i = 0; i < all->remark_count && sign->is_of_comparison; i++) {
        const char *end = strstr(all->remarks[i], sign->name_end);
        if (end && strstr(all->remarks[i], sign->phrase))
            add_name(names, all->remarks[i], (size_t)(end - all->remarks[i]));
    }
    if (names->count > NAMES_MAX)
        text_addf(&names->text, " and %zu more", names->count - NAMES_MAX);
}

void warnings_add(const struct view *view, struct document *document)
{
    size_t told_count = 0;
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        struct names names = { 0 };
        find_names(view, &signs[i], &names);
        if (names.count > 0 && names.text.data && told_count++ < LINES_MAX)
            document_add(document, BLOCK_WARNING, "%s: %s: %s. See %s.", urgency_words[signs[i].urgency],
                         names.text.data, signs[i].words, signs[i].is_of_comparison ? "Differences" : "Tones");
        document->failed = document->failed || names.text.failed;
        text_clear(&names.text);
    }
    if (told_count > LINES_MAX)
        document_add(document, BLOCK_WARNING, "More of this kind under Tones and Differences.");
}

bool warnings_hold(const char *remark)
{
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
        if (signs[i].is_of_comparison && strstr(remark, signs[i].phrase))
            return true;
    return false;
}
