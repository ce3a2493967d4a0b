/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_RUN_JSON_H
#define THRUM_MEASURE_RUN_JSON_H

/* One entry of "runs" in results.json, out and in again. Every number is rounded to the digits it deserves on the way
 * out; reading gives back exactly what was written, so that a report from saved results is the same as one from the
 * sound. */

#include "measure/run_result.h"

#include <jansson.h>

/* A new reference; NULL when memory is out or a text is not UTF-8, which `err` names. */
json_t *run_json_write(const struct run_result *result, struct err *err);

/* Unknown keys are skipped; a key of a wrong type is an error that names it. `path` is for messages. */
bool run_json_read(const json_t *object, const char *path, struct run_result *out, struct err *err) MUST_CHECK;

/* Replaces every figure by what its JSON says, rounded as it is there. Reports are made from settled results only. */
bool run_result_settle(struct run_result *result, struct err *err) MUST_CHECK;

#endif
