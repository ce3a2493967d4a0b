/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_RUN_JSON_TABLES_H
#define THRUM_MEASURE_RUN_JSON_TABLES_H

/* Which members of a run's results stand under which keys of results.json; the writer and the reader share these. */

#include "measure/json_fields.h"
#include "measure/run_result.h"

extern const struct field_table table_run;
extern const struct field_table table_gain;
extern const struct field_table table_level;
extern const struct field_table table_reference;
extern const struct field_table table_band;
extern const struct field_table table_band_reference;
extern const struct field_table table_finding;
extern const struct field_table table_rotor;
extern const struct field_table table_passage;
extern const struct field_table table_tone;
extern const struct field_table table_share;
extern const struct field_table table_tonality;
extern const struct field_table table_hearing;
extern const struct field_table table_trace;
extern const struct field_table table_spectrum;

#endif
