/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_FAULTS_H
#define THRUM_REPORT_FAULTS_H

/* The findings of a campaign gathered by their codes, the worst first, and of the same severity what few runs have
 * before what many share: so a wrong row of the log is not lost among the bands that every run has near the background.
 * Borrows the results. */

#include "base/text.h"
#include "compare/results.h"

#include <stdbool.h>
#include <stddef.h>

/* A finding of a run, whether it is in its list or told by the error alone. */
struct told {
    const char *code, *sentence;
    double band_hz;
    enum severity severity;
};

size_t told_count(const struct run_result *run);
struct told told_of(const struct run_result *run, size_t index);

/* The same sentence but for its numbers and a plural's s. */
bool told_alike(const char *a, const char *b);

/* Doubtful as a whole, as comparisons take it: pictures mark such a run. A run that is doubtful in some bands only
 * counts as good there. */
bool told_is_marked(const struct run_result *run);

struct fault {
    const char *code;
    enum severity severity;
    size_t run_count, first_run, last_run;
};

struct faults {
    struct fault *items;
    size_t count;
    bool failed;
};

/* All findings, or only those as severe as the verdict of their run, and none of good runs. */
void faults_make(const struct results *results, bool decides, struct faults *out);
void faults_clear(struct faults *faults);

/* Sentences on the findings that decide verdicts. Of a fault that few runs have each run is told; one that more share
 * is told once, by its first run. */
enum faults_form {
    FAULTS_BRIEF, /* in a row, up to the figures: " a.wav is unusable: the sound is clipped." */
    FAULTS_LINES, /* a line each, whole: "a.wav, unusable: the sound is clipped: 27 flat tops ...\n" */
};
void faults_tell(const struct results *results, enum faults_form form, struct text *out);

#endif
