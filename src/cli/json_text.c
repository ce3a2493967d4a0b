/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/json_text.h"

#include <stdlib.h>

void json_text_add(json_t *root, struct text *out)
{
    char *text = root ? json_dumps(root, JSON_INDENT(2) | JSON_REAL_PRECISION(9)) : NULL;
    json_decref(root);
    if (text) {
        text_add(out, text);
        text_add(out, "\n");
    } else {
        out->failed = true;
    }
    free(text);
}

json_t *json_findings(const struct findings *findings)
{
    json_t *list = json_array();
    bool ok = list != NULL;
    for (size_t i = 0; ok && i < findings->count; i++) {
        const struct finding *finding = &findings->items[i];
        ok = json_array_append_new(list, json_pack("{s:s, s:s, s:s}", "code", finding->code, "severity",
                                                   severity_key(finding->severity), "text", finding->text)) == 0;
    }
    if (!ok) {
        json_decref(list);
        list = NULL;
    }
    return list;
}
