/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/faults.h"

#include "base/absent.h"
#include "base/memory.h"
#include "compare/grid.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#define RUNS_TOLD_MAX 3 /* each by itself; what more runs have is told once */
#define BRIEF_MAX 5
#define LINES_MAX 12

size_t told_count(const struct run_result *run)
{
    return run->findings.count + (run->error[0] && !findings_have(&run->findings, "unreadable") ? 1 : 0);
}

struct told told_of(const struct run_result *run, size_t index)
{
    if (index >= run->findings.count)
        return (struct told){ "unreadable", run->error, ABSENT, SEVERITY_UNUSABLE };
    const struct finding *finding = &run->findings.items[index];
    return (struct told){ finding->code, finding->text, finding->band_hz, finding->severity };
}

/* "s are", where the other goes on with " are": one tone, two tones. */
static bool is_plural(const char *word, const char *other)
{
    return word[0] == 's' && word[1] == other[0] && !isalnum((unsigned char)other[0]);
}

bool told_alike(const char *a, const char *b)
{
    static const char numbers[] = "0123456789.-";
    for (;; a++, b++) {
        a += strspn(a, numbers);
        b += strspn(b, numbers);
        a += is_plural(a, b);
        b += is_plural(b, a);
        if (*a != *b)
            return false;
        if (!*a)
            return true;
    }
}

bool told_is_marked(const struct run_result *run)
{
    return run_result_verdict(run) == SEVERITY_DOUBTFUL && run_is_doubtful(run);
}

static bool is_meant(const struct run_result *run, const struct told *told, bool decides)
{
    return !decides || (told->severity != SEVERITY_NOTE && told->severity == run_result_verdict(run));
}

/* Room for one more is there. */
static void take(struct faults *out, const struct told *told, size_t run)
{
    for (size_t i = 0; i < out->count; i++) {
        struct fault *fault = &out->items[i];
        if (fault->severity != told->severity || strcmp(fault->code, told->code) != 0)
            continue;
        fault->run_count += fault->last_run != run;
        fault->last_run = run;
        return;
    }
    out->items[out->count++] = (struct fault){ told->code, told->severity, 1, run, run };
}

static int by_weight(const void *a, const void *b)
{
    const struct fault *left = a, *right = b;
    if (left->severity != right->severity)
        return left->severity > right->severity ? -1 : 1;
    if (left->run_count != right->run_count)
        return left->run_count < right->run_count ? -1 : 1;
    if (left->first_run != right->first_run)
        return left->first_run < right->first_run ? -1 : 1;
    return strcmp(left->code, right->code);
}

void faults_make(const struct results *results, bool decides, struct faults *out)
{
    size_t most = 0;
    *out = (struct faults){ 0 };
    for (size_t i = 0; i < results->run_count; i++)
        most += told_count(&results->runs[i]);
    if (most == 0)
        return;
    out->items = memory_new(most, sizeof *out->items);
    out->failed = !out->items;
    for (size_t i = 0; i < results->run_count && out->items; i++)
        for (size_t k = 0; k < told_count(&results->runs[i]); k++) {
            struct told told = told_of(&results->runs[i], k);
            if (is_meant(&results->runs[i], &told, decides))
                take(out, &told, i);
        }
    if (out->count > 0)
        qsort(out->items, out->count, sizeof *out->items, by_weight);
}

void faults_clear(struct faults *faults)
{
    free(faults->items);
    *faults = (struct faults){ 0 };
}

/* The run's first sentence on a fault; NULL when it has none. */
static const char *sentence_of(const struct run_result *run, const struct fault *fault)
{
    for (size_t k = 0; k < told_count(run); k++) {
        struct told told = told_of(run, k);
        if (is_meant(run, &told, true) && told.severity == fault->severity && strcmp(told.code, fault->code) == 0)
            return told.sentence;
    }
    return NULL;
}

/* "All 24 runs", "All 8 runs of belt5", "16 runs", "6 runs of belt5". */
static void add_sharers(const struct results *results, const struct fault *fault, struct text *out)
{
    const char *variant = results->runs[fault->first_run].variant;
    size_t of_variant_count = 0, sharing_count = 0;
    for (size_t i = 0; i < results->run_count; i++) {
        const struct run_result *run = &results->runs[i];
        if (!variant || !run->variant || strcmp(run->variant, variant) != 0)
            continue;
        of_variant_count++;
        sharing_count += sentence_of(run, fault) != NULL;
    }
    bool is_one_variant = sharing_count == fault->run_count && of_variant_count < results->run_count;
    bool is_all = fault->run_count == (is_one_variant ? of_variant_count : results->run_count);
    text_addf(out, "%s%zu runs", is_all ? "All " : "", fault->run_count);
    if (is_one_variant)
        text_addf(out, " of %s", variant);
}

/* Of a run, up to what the sentence goes on to explain: "the sound is clipped". */
static void add_brief(const struct run_result *run, const char *sentence, struct text *out)
{
    if (run->error[0])
        text_add(out, "it could not be measured.");
    else
        text_addf(out, "%.*s.", (int)strcspn(sentence, ":;"), sentence);
}

static void add_shared(const struct results *results, const struct fault *fault, enum faults_form form,
                       struct text *out)
{
    const struct run_result *run = &results->runs[fault->first_run];
    const char *sentence = sentence_of(run, fault), *verdict = severity_verdict(fault->severity);
    text_add(out, form == FAULTS_BRIEF ? " " : "");
    add_sharers(results, fault, out);
    if (form == FAULTS_LINES) {
        text_addf(out, ", %s alike (here %s): %s\n", verdict, run->file, sentence);
        return;
    }
    text_addf(out, " are %s alike (here %s): ", verdict, run->file);
    add_brief(run, sentence, out);
}

/* The runs up to `last` whose sentence is that of `first`: "a.wav, b.wav". Returns how many. */
static size_t add_names(const struct results *results, const struct fault *fault, size_t first, struct text *out)
{
    const char *said = sentence_of(&results->runs[first], fault);
    size_t count = 0;
    for (size_t i = first; i <= fault->last_run; i++) {
        const char *sentence = sentence_of(&results->runs[i], fault);
        if (sentence && strcmp(sentence, said) == 0)
            text_addf(out, "%s%s", count++ > 0 ? ", " : "", results->runs[i].file);
    }
    return count;
}

static bool is_said_before(const struct results *results, const struct fault *fault, size_t run)
{
    const char *said = sentence_of(&results->runs[run], fault);
    for (size_t i = fault->first_run; i < run; i++) {
        const char *sentence = sentence_of(&results->runs[i], fault);
        if (sentence && strcmp(sentence, said) == 0)
            return true;
    }
    return false;
}

static void add_own(const struct results *results, const struct fault *fault, size_t first, enum faults_form form,
                    struct text *out)
{
    const struct run_result *run = &results->runs[first];
    const char *sentence = sentence_of(run, fault), *verdict = severity_verdict(fault->severity);
    text_add(out, form == FAULTS_BRIEF ? " " : "");
    size_t count = add_names(results, fault, first, out);
    if (form == FAULTS_LINES) {
        text_addf(out, ", %s: %s\n", verdict, sentence);
        return;
    }
    text_addf(out, " %s %s: ", count == 1 ? "is" : "are", verdict);
    add_brief(run, sentence, out);
}

void faults_tell(const struct results *results, enum faults_form form, struct text *out)
{
    struct faults faults;
    size_t most = form == FAULTS_BRIEF ? BRIEF_MAX : LINES_MAX, count = 0;
    faults_make(results, true, &faults);
    for (size_t i = 0; i < faults.count; i++) {
        const struct fault *fault = &faults.items[i];
        if (fault->run_count > RUNS_TOLD_MAX) {
            if (count++ < most)
                add_shared(results, fault, form, out);
            continue;
        }
        for (size_t k = fault->first_run; k <= fault->last_run; k++)
            if (sentence_of(&results->runs[k], fault) && !is_said_before(results, fault, k) && count++ < most)
                add_own(results, fault, k, form, out);
    }
    if (form == FAULTS_BRIEF)
        text_add(out, count > most ? " More under Findings." : count > 0 ? " See Findings." : "");
    else if (count > most)
        text_addf(out, "and %zu more: see the report\n", count - most);
    out->failed = out->failed || faults.failed;
    faults_clear(&faults);
}
