/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_REPORT_FIXTURE_H
#define THRUM_TESTS_REPORT_FIXTURE_H

/* Results made up to be drawn: three rotors of the reed-bed drone at four thrusts, two repeats each, by simple laws,
 * and all that makes a report hard: titles with markup and other scripts, a run that failed, a doubtful one, upper
 * bounds, figures that are absent, many findings. Nothing here was measured. */

#include "compare/results.h"

#include <stdbool.h>

enum fixture_kind {
    FIXTURE_RICH,
    FIXTURE_ONE_VARIANT,  /* no comparisons */
    FIXTURE_UNCALIBRATED, /* dBFS, no hearing figures */
    FIXTURE_ALL_FAILED,   /* no run could be read */
};

struct fixture {
    struct campaign campaign;
    struct results results;
};

void fixture_make(struct fixture *fixture, enum fixture_kind kind);
void fixture_remark(struct run_result *run, const char *sentence); /* what its tones say about the machine */
/* A text with plain spaces for those that keep a figure with its unit (U+00A0), cut to `size`. */
void fixture_plain(const char *from, char *out, size_t size);
void fixture_clear(struct fixture *fixture);

#endif
