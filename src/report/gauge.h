/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_GAUGE_H
#define THRUM_REPORT_GAUGE_H

/* Which of a remark's figures says how bad it is, so that of runs that say the same the worst is shown. Remarks are
 * sentences; the figure is known by what follows it (tests/report/check_phrases.py holds that against the room that
 * makes the sentences). */

#include <stdbool.h>

struct gauge {
    double value;
    char figure[24];    /* the value as the sentence has it */
    const char *words;  /* what follows: "% off" */
    bool is_less_worse; /* the smaller the worse */
};

/* False for a remark without such a figure. */
bool gauge_of(const char *remark, struct gauge *out);

bool gauge_is_worse(const struct gauge *gauge, const struct gauge *than);

#endif
