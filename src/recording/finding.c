/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/finding.h"

#include "base/memory.h"
#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void findings_add(struct findings *findings, const char *code, enum severity severity, double band_hz,
                  const char *format, ...)
{
    void *items = findings->items;
    if (!memory_grow(&items, &findings->capacity, findings->count + 1, sizeof *findings->items)) {
        findings->failed = true;
        return;
    }
    findings->items = items;
    struct finding *finding = &findings->items[findings->count++];
    *finding = (struct finding){ .severity = severity, .band_hz = band_hz };
    snprintf(finding->code, sizeof finding->code, "%s", code);
    va_list args;
    va_start(args, format);
    text_fit_args(finding->text, sizeof finding->text, format, args);
    va_end(args);
}

void findings_clear(struct findings *findings)
{
    free(findings->items);
    *findings = (struct findings){ 0 };
}

bool findings_have(const struct findings *findings, const char *code)
{
    for (size_t i = 0; i < findings->count; i++)
        if (strcmp(findings->items[i].code, code) == 0)
            return true;
    return false;
}

enum severity findings_worst(const struct findings *findings)
{
    enum severity worst = SEVERITY_NOTE;
    for (size_t i = 0; i < findings->count; i++)
        if (findings->items[i].severity > worst)
            worst = findings->items[i].severity;
    return worst;
}

const char *severity_key(enum severity severity)
{
    switch (severity) {
    case SEVERITY_NOTE:
        return "note";
    case SEVERITY_DOUBTFUL:
        return "doubtful";
    case SEVERITY_UNUSABLE:
        return "unusable";
    }
    return "note";
}

const char *severity_verdict(enum severity severity)
{
    return severity == SEVERITY_NOTE ? "good" : severity_key(severity);
}
