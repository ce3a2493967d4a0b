/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_RUN_COLUMNS_H
#define THRUM_CAMPAIGN_RUN_COLUMNS_H

/* The columns of the run log: the table of those that are ours, and the header line of one log resolved against it. */

#include "campaign/campaign_read.h"
#include "campaign/csv_table.h"
#include "campaign/value.h"

#include <stdbool.h>
#include <stddef.h>

enum run_column {
    COLUMN_FILE,
    COLUMN_VARIANT,
    COLUMN_MICROPHONE,
    COLUMN_RPM,
    COLUMN_RPM_TOLERANCE_PCT,
    COLUMN_MOTOR_RPM,
    COLUMN_THROTTLE_PCT,
    COLUMN_THRUST_N,
    COLUMN_THRUST_G,
    COLUMN_POWER_W,
    COLUMN_VOLTAGE_V,
    COLUMN_CURRENT_A,
    COLUMN_START_S,
    COLUMN_END_S,
    COLUMN_CHANNEL,
    COLUMN_TACH_CHANNEL,
    COLUMN_TACH_PULSES_PER_REV,
    COLUMN_NOTE,
    COLUMN_COUNT,
    COLUMN_OTHER = COLUMN_COUNT, /* kept as a note */
    COLUMN_UNNAMED,              /* no header: must be empty */
};

/* One line of a log as it stands: numbers by column, ABSENT where empty; texts borrowed from the table, NULL where
 * empty. */
struct run_line {
    double numbers[COLUMN_COUNT];
    const char *texts[COLUMN_COUNT];
    struct place places[COLUMN_COUNT]; /* of the line's start where the field is not there */
};

struct run_column_rule {
    const char *name;
    const char *stem; /* the name as people write it without its unit; NULL: none */
    struct value_rule value;
};

extern const struct run_column_rule run_columns[COLUMN_COUNT];

/* The header of a log: what each field of a row is. */
struct run_header {
    enum run_column *columns; /* owned */
    size_t count;
    bool have[COLUMN_COUNT];
};

/* Resolves the first row of `table`; false after telling mistakes that keep rows from being read. */
bool run_header_read(struct campaign_reader *reader, const struct csv_table *table, struct run_header *out) MUST_CHECK;
void run_header_clear(struct run_header *header);

#endif
