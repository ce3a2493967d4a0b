/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/run_columns.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "campaign/limits.h"
#include "campaign/text_check.h"

#include <stdlib.h>
#include <string.h>

#define TEXT_MOST 1000

/* Limits are as wide as those of limits.h. */
const struct run_column_rule run_columns[COLUMN_COUNT] = {
    [COLUMN_FILE] = { "file",
                      "filename",
                      { VALUE_TEXT, .most = TEXT_MOST, .help = "the recording, inside the campaign's folder" } },
    [COLUMN_VARIANT] = { "variant", NULL, { VALUE_TEXT, .most = TEXT_MOST, .help = "a variant of campaign.yaml" } },
    [COLUMN_MICROPHONE] = { "microphone",
                            "mic",
                            { VALUE_TEXT, .most = TEXT_MOST,
                              .help = "a microphone of campaign.yaml; needed when there is more than one" } },
    [COLUMN_RPM] = { "rpm",
                     "speed_rpm",
                     { VALUE_NUMBER, .least = RPM_LEAST, .most = RPM_MOST, .in_thousands = true, .unit = "rev/min",
                       .help = "rotor speed as logged; empty: estimated from the sound" } },
    [COLUMN_RPM_TOLERANCE_PCT] = { "rpm_tolerance_pct",
                                   "rpm_tolerance",
                                   { VALUE_NUMBER, .least = RPM_TOLERANCE_LEAST_PCT, .most = RPM_TOLERANCE_MOST_PCT,
                                     .unit = "%", .help = "how far the logged speed may be off; default 2" } },
    [COLUMN_MOTOR_RPM] = { "motor_rpm",
                           "motor_speed",
                           { VALUE_NUMBER, .least = RPM_LEAST, .most = RPM_MOST, .in_thousands = true,
                             .unit = "rev/min", .help = "motor speed, where the drive has a ratio" } },
    [COLUMN_THROTTLE_PCT] = { "throttle_pct",
                              "throttle",
                              { VALUE_NUMBER, .least = 0, .most = 100, .unit = "%", .help = "throttle" } },
    [COLUMN_THRUST_N] = { "thrust_n",
                          "thrust",
                          { VALUE_NUMBER, .least = 0, .most = 1000000, .unit = "N", .help = "thrust" } },
    [COLUMN_THRUST_G] = { "thrust_g",
                          NULL,
                          { VALUE_NUMBER, .least = 0, .most = 100000000, .unit = "g",
                            .help = "thrust in grams, as thrust stands show it" } },
    [COLUMN_POWER_W] = { "power_w",
                         "power",
                         { VALUE_NUMBER, .least = 0, .most = 100000000, .unit = "W", .help = "power into the drive" } },
    [COLUMN_VOLTAGE_V] = { "voltage_v",
                           "voltage",
                           { VALUE_NUMBER, .least = 0.01, .most = 100000, .unit = "V", .help = "supply voltage" } },
    [COLUMN_CURRENT_A] = { "current_a",
                           "current",
                           { VALUE_NUMBER, .least = 0, .most = 100000, .unit = "A",
                             .help = "supply current; with voltage_v gives the power" } },
    [COLUMN_START_S] = { "start_s",
                         "start",
                         { VALUE_NUMBER, .least = 0, .most = SECONDS_MOST, .unit = "s",
                           .help = "start of the part to use" } },
    [COLUMN_END_S] = { "end_s",
                       "end",
                       { VALUE_NUMBER, .least = 0, .most = SECONDS_MOST, .unit = "s",
                         .help = "end of the part to use" } },
    [COLUMN_CHANNEL] = { "channel",
                         NULL,
                         { VALUE_COUNT, .least = 1, .most = CHANNEL_MOST,
                           .help = "the microphone's channel, from 1; default 1" } },
    [COLUMN_TACH_CHANNEL] = { "tach_channel",
                              "tach",
                              { VALUE_COUNT, .least = 1, .most = CHANNEL_MOST,
                                .help = "channel with a tachometer's pulses, from 1" } },
    [COLUMN_TACH_PULSES_PER_REV] = { "tach_pulses_per_rev",
                                     "tach_pulses",
                                     { VALUE_NUMBER, .least = TACH_PULSES_LEAST, .most = TACH_PULSES_MOST,
                                       .help = "its pulses in one turn of the rotor; default 1" } },
    [COLUMN_NOTE] = { "note", NULL, { VALUE_TEXT, .most = TEXT_MOST, .help = "free text" } },
};

/* "Thrust (N)" as "thrust_n": small letters, one "_" for each run of anything else. */
static void plain_name(const char *name, char *out, size_t size)
{
    size_t used = 0;
    for (; *name && used + 2 < size; name++) {
        char c = *name;
        if (c >= 'A' && c <= 'Z')
            c = (char)(c - 'A' + 'a');
        bool is_letter = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 0x80;
        if (is_letter)
            out[used++] = c;
        else if (used > 0 && out[used - 1] != '_')
            out[used++] = '_';
    }
    while (used > 0 && out[used - 1] == '_')
        used--;
    out[used] = '\0';
}

/* The column that a name which is none of ours was probably meant for, or COLUMN_COUNT. */
static int probably_meant(const char *name)
{
    char plain[64];
    const char *names[COLUMN_COUNT];
    plain_name(name, plain, sizeof plain);
    int meant = 0;
    for (; meant < COLUMN_COUNT; meant++)
        if (run_columns[meant].stem && strcmp(plain, run_columns[meant].stem) == 0)
            return meant;
    for (int i = 0; i < COLUMN_COUNT; i++)
        names[i] = run_columns[i].name;
    const char *near = nearest_name(plain, names, COLUMN_COUNT);
    for (meant = 0; meant < COLUMN_COUNT && names[meant] != near;)
        meant++;
    return meant;
}

/* A misspelt column is told; *guess is the one it was probably meant for. */
static enum run_column resolve(struct campaign_reader *reader, const char *name, const struct place *where,
                               enum run_column *guess)
{
    if (!*name)
        return COLUMN_UNNAMED;
    for (int i = 0; i < COLUMN_COUNT; i++)
        if (strcmp(run_columns[i].name, name) == 0)
            return (enum run_column)i;
    int meant = probably_meant(name);
    if (meant < COLUMN_COUNT) {
        *guess = (enum run_column)meant;
        err_list_at(reader->errors, ERR_NAME, where, "unknown column \"%s\"; perhaps %s is meant", excerpt(name).text,
                    run_columns[meant].name);
    }
    return COLUMN_OTHER;
}

static void check_twice(struct campaign_reader *reader, const struct csv_table *table, size_t column)
{
    struct place where = { .file = reader->file };
    const char *name = csv_table_text(table, 0, column, &where);
    for (size_t i = 0; *name && i < column; i++) {
        if (strcmp(csv_table_text(table, 0, i, NULL), name) == 0) {
            err_list_at(reader->errors, ERR_NAME, &where, "column \"%s\" is given twice", excerpt(name).text);
            return;
        }
    }
}

static void check_needed(struct campaign_reader *reader, const bool have[COLUMN_COUNT])
{
    struct place where = { .file = reader->file, .line = 1, .column = 1 };
    const struct campaign *campaign = reader->campaign;
    if (!have[COLUMN_FILE])
        err_list_at(reader->errors, ERR_MISSING, &where, "column file is missing; the header names the columns");
    if (!have[COLUMN_VARIANT])
        err_list_at(reader->errors, ERR_MISSING, &where, "column variant is missing; the header names the columns");
    if (!have[COLUMN_MICROPHONE] && campaign->microphone_count > 1)
        err_list_at(reader->errors, ERR_MISSING, &where,
                    "column microphone is missing; the campaign has %zu microphones", campaign->microphone_count);
}

#define COLUMNS_MAX 256

bool run_header_read(struct campaign_reader *reader, const struct csv_table *table, struct run_header *out)
{
    struct run_header header = { .count = table->rows[0].field_count };
    struct place where = { .file = reader->file, .line = table->rows[0].line, .column = 1 };
    if (header.count > COLUMNS_MAX) {
        err_list_at(reader->errors, ERR_RANGE, &where, "%zu columns; at most %d are right", header.count, COLUMNS_MAX);
        return false;
    }
    header.columns = memory_new(header.count, sizeof *header.columns);
    if (!header.columns) {
        reader_out_of_memory(reader);
        return false;
    }
    if (header.count == 1 && strchr(csv_table_text(table, 0, 0, NULL), '\t')) {
        err_list_at(reader->errors, ERR_SYNTAX, &where,
                    "the columns stand apart by tabs; save with commas or semicolons");
        run_header_clear(&header);
        return false;
    }
    bool have[COLUMN_COUNT] = { false }; /* with those that are misspelt */
    for (size_t i = 0; i < header.count; i++) {
        const char *name = csv_table_text(table, 0, i, &where);
        enum run_column guess = COLUMN_OTHER;
        header.columns[i] = resolve(reader, name, &where, &guess);
        check_twice(reader, table, i);
        if (header.columns[i] < COLUMN_COUNT)
            header.have[header.columns[i]] = have[header.columns[i]] = true;
        if (guess < COLUMN_COUNT)
            have[guess] = true;
    }
    check_needed(reader, have);
    *out = header;
    return true;
}

void run_header_clear(struct run_header *header)
{
    free(header->columns);
    *header = (struct run_header){ 0 };
}
