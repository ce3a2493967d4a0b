/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_JSON_TEXT_H
#define THRUM_CLI_JSON_TEXT_H

#include "base/text.h"
#include "recording/finding.h"

#include <jansson.h>

/* Adds a tree as text, indented, with a line end, and releases it. A NULL tree is lack of memory: out->failed is set.
 */
void json_text_add(json_t *root, struct text *out);

/* A list of code, severity and text; NULL when memory is out. */
json_t *json_findings(const struct findings *findings);

#endif
