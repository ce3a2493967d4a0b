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
