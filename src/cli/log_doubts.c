/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/log_doubts.h"

#include "base/absent.h"
#include "campaign/thrust_check.h"

#include <string.h>

#define CODE "thrust-doubtful"

bool log_doubts_add(const struct campaign *campaign, size_t index, struct findings *findings, struct err *err)
{
    struct text text = { 0 };
    size_t kept = 0;
    for (size_t i = 0; i < findings->count; i++)
        if (strcmp(findings->items[i].code, CODE) != 0)
            findings->items[kept++] = findings->items[i];
    findings->count = kept;
    bool ok = thrust_check(campaign, index, &text);
    if (ok && text.length > 0)
        findings_add(findings, CODE, SEVERITY_DOUBTFUL, ABSENT, "%s", text.data);
    text_clear(&text);
    return (ok && !findings->failed) || err_memory(err);
}
