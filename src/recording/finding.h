/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_FINDING_H
#define THRUM_RECORDING_FINDING_H

/* A finding is one thing that is wrong, or may be, with a recording: a code that scripts can rely on, how bad it is,
 * and a plain sentence that ends with what to do about it. Codes are listed in docs/findings.md. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

enum severity { SEVERITY_NOTE, SEVERITY_DOUBTFUL, SEVERITY_UNUSABLE };

struct finding {
    char code[32];
    enum severity severity;
    char text[400];
    double band_hz; /* nominal mid-frequency where one band is concerned, else ABSENT */
};

struct findings {
    struct finding *items;
    size_t count, capacity;
    bool failed; /* sticky: memory ran out while adding */
};

void findings_add(struct findings *findings, const char *code, enum severity severity, double band_hz,
                  const char *format, ...) PRINTF_LIKE(5, 6);
void findings_clear(struct findings *findings);
bool findings_have(const struct findings *findings, const char *code);

/* The worst severity present: SEVERITY_NOTE (also for none) means "good". */
enum severity findings_worst(const struct findings *findings);

const char *severity_key(enum severity severity);     /* "note", "doubtful", "unusable" */
const char *severity_verdict(enum severity severity); /* "good", "doubtful", "unusable" */

#endif
