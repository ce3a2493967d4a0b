/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_RESULTS_JSON_H
#define THRUM_REPORT_RESULTS_JSON_H

/* results.json: everything that the report shows. Keys carry units; what can't be given is null. */

#include "compare/results.h"

#include <jansson.h>

/* A new reference; NULL when memory is out or a text is not UTF-8, which `err` names. */
json_t *results_json(const struct results *results, struct err *err);

#endif
