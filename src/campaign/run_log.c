/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/campaign_read.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "campaign/csv_table.h"
#include "campaign/run_columns.h"
#include "campaign/run_overlap.h"
#include "campaign/text_check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Two readings of one quantity may differ by this part: rounding of a display, and for power the mean of a product that
 * is not the product of means (common practice). */
#define THRUST_AGREES 0.02
#define POWER_AGREES 0.05
/* A belt slips by a few per cent; more than this is a slip of the pen (common practice). */
#define RATIO_AGREES 0.2
#define RPM_TOLERANCE_PCT_DEFAULT 2.0

/* One row of the log on its way to a run. */
struct row {
    struct campaign_reader *reader;
    const struct csv_table *table;
    const struct run_header *header;
    char decimal_mark; /* as value_number takes it */
    size_t index;
    size_t mistake_count; /* before this row */
    bool drive_is_known;  /* no mistake in campaign.yaml may have taken it away */
    struct run_line line;
};

static bool is_whole(const struct row *row)
{
    return reader_mistake_count(row->reader) == row->mistake_count;
}

static char *copy_text(struct campaign_reader *reader, const char *text)
{
    char *copy = memory_copy_text(text);
    if (!copy)
        reader_out_of_memory(reader);
    return copy;
}

/* A cell of a spreadsheet may hold several lines; a note is one. */
static char *copy_note(struct campaign_reader *reader, const char *text)
{
    char *copy = copy_text(reader, text);
    for (char *at = copy; at && *at; at++)
        if ((unsigned char)*at < 0x20)
            *at = ' ';
    return copy;
}

static void add_note(struct row *row, struct run *run, size_t column, const char *text)
{
    struct run_note note = { .column = copy_note(row->reader, csv_table_text(row->table, 0, column, NULL)),
                             .value = copy_note(row->reader, text) };
    void *items = run->notes;
    size_t capacity = run->note_count;
    if (!note.column || !note.value || !memory_grow(&items, &capacity, run->note_count + 1, sizeof note)) {
        free(note.column);
        free(note.value);
        reader_out_of_memory(row->reader);
        return;
    }
    run->notes = items;
    run->notes[run->note_count++] = note;
}

static void take_cell(struct row *row, struct run *run, size_t column, const char *text, const struct place *where)
{
    struct err err;
    enum run_column which = column < row->header->count ? row->header->columns[column] : COLUMN_UNNAMED;
    if (which == COLUMN_OTHER) {
        add_note(row, run, column, text);
    } else if (which == COLUMN_UNNAMED) {
        err_list_at(row->reader->errors, ERR_SYNTAX, where,
                    "\"%s\" stands in a column without a name; name it, or write a decimal comma as a point",
                    excerpt(text).text);
    } else if (run_columns[which].value.type == VALUE_TEXT) {
        row->line.texts[which] = text;
    } else if (!value_number(run_columns[which].name, &run_columns[which].value, text, row->decimal_mark, where,
                             &row->line.numbers[which], &err)) {
        err_list_add(row->reader->errors, &err);
    }
}

static void take_cells(struct row *row, struct run *run)
{
    size_t field_count = row->table->rows[row->index].field_count;
    struct place where = { .file = row->reader->file };
    for (int i = 0; i < COLUMN_COUNT; i++) {
        row->line.numbers[i] = ABSENT;
        row->line.places[i] = (struct place){ row->reader->file, row->table->rows[row->index].line, 1 };
    }
    for (size_t i = 0; i < field_count || i < row->header->count; i++) {
        const char *text = csv_table_text(row->table, row->index, i, &where);
        if (i < row->header->count && row->header->columns[i] < COLUMN_COUNT)
            row->line.places[row->header->columns[i]] = where;
        if (*text)
            take_cell(row, run, i, text, &where);
    }
}

/* Where the whole column is missing that was told already. */
static void missing(struct row *row, enum run_column column)
{
    if (!row->header->have[column])
        return;
    err_list_at(row->reader->errors, ERR_MISSING, &row->line.places[column], "%s is empty; every run needs it",
                run_columns[column].name);
}

static bool is_same(const char *a, const char *b)
{
    return a && b && strcmp(a, b) == 0;
}

/* A calibrator or a background among the runs is a slip. */
static void check_purpose(struct row *row, const char *file, const struct place *where)
{
    const struct campaign *campaign = row->reader->campaign;
    for (size_t i = 0; i < campaign->microphone_count; i++) {
        const struct microphone *microphone = &campaign->microphones[i];
        bool is_background = is_same(file, microphone->background);
        if (is_background || is_same(file, microphone->calibration.file) ||
            is_same(file, microphone->calibration.after_file)) {
            err_list_at(row->reader->errors, ERR_RANGE, where,
                        "\"%s\" is the %s of microphone %s; a run is a rotor's sound", excerpt(file).text,
                        is_background ? "background" : "calibration", microphone->name);
            return;
        }
    }
}

static void set_file(struct row *row, struct run *run)
{
    struct err err;
    const char *text = row->line.texts[COLUMN_FILE];
    const struct place *where = &row->line.places[COLUMN_FILE];
    if (!text)
        missing(row, COLUMN_FILE);
    else if (!value_set(&run->file, "file", &run_columns[COLUMN_FILE].value, text, where, &err))
        err_list_add(row->reader->errors, &err);
    else if (reader_check_file(row->reader, !row->reader->without_recordings, run->file, where))
        check_purpose(row, run->file, where);
}

static void set_names(struct row *row, struct run *run)
{
    const struct campaign *campaign = row->reader->campaign;
    const char *variant = row->line.texts[COLUMN_VARIANT], *microphone = row->line.texts[COLUMN_MICROPHONE];
    if (!variant)
        missing(row, COLUMN_VARIANT);
    else if (campaign->variant_count > 0 && !campaign_find_variant(campaign, variant, &run->variant))
        reader_unknown_name(row->reader, &row->line.places[COLUMN_VARIANT], "variant", "variant", variant);
    if (!microphone && campaign->microphone_count > 1 && row->header->have[COLUMN_MICROPHONE])
        err_list_at(row->reader->errors, ERR_MISSING, &row->line.places[COLUMN_MICROPHONE],
                    "microphone is empty; the campaign has %zu microphones", campaign->microphone_count);
    else if (microphone && campaign->microphone_count > 0 &&
             !campaign_find_microphone(campaign, microphone, &run->microphone))
        reader_unknown_name(row->reader, &row->line.places[COLUMN_MICROPHONE], "microphone", "microphone", microphone);
}

static bool agrees(double a, double b, double part)
{
    return fabs(a - b) <= part * fmax(fabs(a), fabs(b));
}

static void set_operating_point(struct row *row, struct run *run)
{
    const double *numbers = row->line.numbers;
    double from_grams_n = grams_force_to_n(numbers[COLUMN_THRUST_G]);
    double product_w = numbers[COLUMN_VOLTAGE_V] * numbers[COLUMN_CURRENT_A];
    run->throttle_pct = numbers[COLUMN_THROTTLE_PCT];
    run->voltage_v = numbers[COLUMN_VOLTAGE_V];
    run->current_a = numbers[COLUMN_CURRENT_A];
    run->thrust_n = is_given(numbers[COLUMN_THRUST_N]) ? numbers[COLUMN_THRUST_N] : from_grams_n;
    run->power_w = is_given(numbers[COLUMN_POWER_W]) ? numbers[COLUMN_POWER_W] : product_w;
    if (is_given(from_grams_n) && !agrees(run->thrust_n, from_grams_n, THRUST_AGREES))
        err_list_at(row->reader->errors, ERR_RANGE, &row->line.places[COLUMN_THRUST_G],
                    "thrust_g is %s, which is %s N, but thrust_n is %s; give one of them",
                    excerpt_number(numbers[COLUMN_THRUST_G], 6).text, excerpt_number(from_grams_n, 4).text,
                    excerpt_number(run->thrust_n, 6).text);
    if (is_given(product_w) && !agrees(run->power_w, product_w, POWER_AGREES))
        err_list_at(row->reader->errors, ERR_RANGE, &row->line.places[COLUMN_POWER_W],
                    "power_w is %s but voltage_v times current_a is %s; give one of them",
                    excerpt_number(run->power_w, 6).text, excerpt_number(product_w, 6).text);
    if (is_given(run->current_a) && !is_given(run->voltage_v) && !is_given(run->power_w) && is_whole(row))
        err_list_at(row->reader->errors, ERR_MISSING, &row->line.places[COLUMN_VOLTAGE_V],
                    "voltage_v is empty; current_a needs it");
}

static void set_speed(struct row *row, struct run *run)
{
    const double *numbers = row->line.numbers;
    const struct campaign *campaign = row->reader->campaign;
    double tolerance_pct = numbers[COLUMN_RPM_TOLERANCE_PCT];
    run->rpm = numbers[COLUMN_RPM];
    run->rpm_tolerance_pct = is_given(tolerance_pct) ? tolerance_pct : RPM_TOLERANCE_PCT_DEFAULT;
    run->motor_rpm = numbers[COLUMN_MOTOR_RPM];
    if (!is_whole(row) || campaign->variant_count == 0 || !row->drive_is_known)
        return;
    double expected_rpm = run->rpm * variant_drive_ratio(&campaign->variants[run->variant]);
    if (is_given(expected_rpm) && is_given(run->motor_rpm) && !agrees(expected_rpm, run->motor_rpm, RATIO_AGREES))
        err_list_at(row->reader->errors, ERR_RANGE, &row->line.places[COLUMN_MOTOR_RPM],
                    "motor_rpm is %s but the drive makes it about %s at rpm %s; check both and the drive",
                    excerpt_number(run->motor_rpm, 6).text, excerpt_number(expected_rpm, 6).text,
                    excerpt_number(run->rpm, 6).text);
}

static void set_signal(struct row *row, struct run *run)
{
    const double *numbers = row->line.numbers;
    double channel = numbers[COLUMN_CHANNEL], tach = numbers[COLUMN_TACH_CHANNEL];
    double pulses = numbers[COLUMN_TACH_PULSES_PER_REV];
    run->channel = is_given(channel) ? (int)channel - 1 : 0;
    run->tach_channel = is_given(tach) ? (int)tach - 1 : -1;
    run->tach_pulses_per_rev = is_given(tach) && !is_given(pulses) ? 1 : pulses;
    run->start_s = numbers[COLUMN_START_S];
    run->end_s = numbers[COLUMN_END_S];
    if (run->tach_channel == run->channel)
        err_list_at(row->reader->errors, ERR_RANGE, &row->line.places[COLUMN_TACH_CHANNEL],
                    "tach_channel is %d, the microphone's own channel; they must differ", run->channel + 1);
    if (is_given(pulses) && !is_given(tach))
        err_list_at(row->reader->errors, ERR_MISSING, &row->line.places[COLUMN_TACH_CHANNEL],
                    "tach_channel is empty; tach_pulses_per_rev needs it");
    if (is_given(run->start_s) && is_given(run->end_s) && run->end_s <= run->start_s)
        err_list_at(row->reader->errors, ERR_RANGE, &row->line.places[COLUMN_END_S],
                    "end_s is %s; must be after start_s, %s", excerpt_number(run->end_s, 9).text,
                    excerpt_number(run->start_s, 9).text);
}

static void read_row(struct row *row, struct run *run)
{
    run->row = row->table->rows[row->index].line;
    take_cells(row, run);
    set_file(row, run);
    set_names(row, run);
    set_operating_point(row, run);
    set_signal(row, run);
    set_speed(row, run);
    if (row->line.texts[COLUMN_NOTE])
        run->note = copy_note(row->reader, row->line.texts[COLUMN_NOTE]);
}

/* The decimal mark of a log. Where semicolons stand between the cells a number may have a comma: the mark that more
 * numbers can only have for their decimals is that of all, so that "4,200" beside "12,5" is 4.2. */
static char find_decimal_mark(const struct csv_table *table, const struct run_header *header)
{
    size_t points = 0, commas = 0;
    for (size_t i = 1; i < table->row_count; i++) {
        for (size_t column = 0; column < header->count; column++) {
            enum run_column which = header->columns[column];
            if (which >= COLUMN_COUNT || run_columns[which].value.type == VALUE_TEXT)
                continue;
            char mark = value_decimal_mark(csv_table_text(table, i, column, NULL));
            points += mark == '.';
            commas += mark == ',';
        }
    }
    if (table->separator == ',' || points > commas)
        return '.';
    return commas > 0 ? ',' : '\0';
}

static size_t find_column(const struct run_header *header, enum run_column which)
{
    size_t column = 0;
    while (column < header->count && header->columns[column] != which)
        column++;
    return column;
}

static void read_rows(struct campaign_reader *reader, const struct csv_table *table, const struct run_header *header,
                      bool drive_is_known)
{
    struct campaign *campaign = reader->campaign;
    char decimal_mark = find_decimal_mark(table, header);
    campaign->runs = memory_new(table->row_count - 1, sizeof *campaign->runs);
    if (!campaign->runs) {
        reader_out_of_memory(reader);
        return;
    }
    for (size_t i = 1; i < table->row_count; i++) {
        struct row row = { .reader = reader,
                           .table = table,
                           .header = header,
                           .decimal_mark = decimal_mark,
                           .index = i,
                           .mistake_count = reader_mistake_count(reader),
                           .drive_is_known = drive_is_known };
        struct run *run = &campaign->runs[campaign->run_count++];
        read_row(&row, run);
        if (!is_whole(&row)) { /* its sound is no matter */
            free(run->file);
            run->file = NULL;
        }
    }
    run_overlap_check(reader, table, find_column(header, COLUMN_FILE));
}

void campaign_read_runs(struct campaign_reader *reader, const char *text, size_t size)
{
    struct csv_table table;
    struct run_header header;
    struct err err;
    struct place start = { reader->file, 1, 1 };
    bool drive_is_known = reader_mistake_count(reader) == 0;
    if (!csv_table_read(text, size, reader->file, &table, &err)) {
        err_list_add(reader->errors, &err);
        return;
    }
    if (table.row_count == 0) {
        err_list_at(reader->errors, ERR_MISSING, &start,
                    "nothing in it; a header line and a row for each run are needed");
    } else if (run_header_read(reader, &table, &header)) {
        start.line = table.rows[0].line;
        if (table.row_count == 1)
            err_list_at(reader->errors, ERR_MISSING, &start, "no runs; a row for each run is needed below the header");
        else
            read_rows(reader, &table, &header, drive_is_known);
        run_header_clear(&header);
    }
    csv_table_clear(&table);
}
