/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/campaign_read.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/nearest.h"
#include "base/num.h"
#include "campaign/text_check.h"
#include "campaign/variant_yaml.h"
#include "campaign/yaml_map.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define TEXT_MOST 200
#define PATH_MOST 1000

static void read_file_name(struct campaign_reader *reader, char **target, const struct yaml_node *node)
{
    static const struct value_rule rule = { .type = VALUE_TEXT, .offset = 0, .most = PATH_MOST };
    if (yaml_value_read(reader, target, node->key, &rule, node))
        reader_check_file(reader, !reader->without_recordings, *target, &node->where);
}

static void read_calibration_file(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    read_file_name(reader, &((struct calibration *)target)->file, node);
}

static void read_after_file(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    read_file_name(reader, &((struct calibration *)target)->after_file, node);
}

/* Sound calibrators (IEC 60942) give 94 or 114 dB, pistonphones 124; the limits are wide of all. */
static const struct map_key calibration_keys[] = {
    { "file", .read = read_calibration_file },
    { "after", .read = read_after_file },
    { "level_db", .value = { VALUE_NUMBER, offsetof(struct calibration, level_db), 40, 180, .unit = "dB" } },
    { "frequency_hz", .value = { VALUE_NUMBER, offsetof(struct calibration, frequency_hz), 20, 20000, .unit = "Hz" } },
    { "full_scale_db", .value = { VALUE_NUMBER, offsetof(struct calibration, full_scale_db), 20, 220, .unit = "dB" } },
    { "sensitivity_mv_pa",
      .value = { VALUE_NUMBER, offsetof(struct calibration, sensitivity_mv_pa), 0.001, 100000, .unit = "mV/Pa" } },
    { "full_scale_v",
      .value = { VALUE_NUMBER, offsetof(struct calibration, full_scale_v), 0.0001, 1000, .unit = "V peak" } },
};

#define CALIBRATION_WAYS "file with level_db, or full_scale_db, or sensitivity_mv_pa with full_scale_v"

static void check_calibration(struct campaign_reader *reader, struct calibration *calibration,
                              const struct yaml_node *node)
{
    static const char *const recording_keys[] = { "file", "level_db", "frequency_hz", "after" };
    bool is_recording = false;
    for (size_t i = 0; i < sizeof recording_keys / sizeof *recording_keys; i++)
        is_recording = is_recording || yaml_is_given(node, recording_keys[i]);
    bool is_full_scale = yaml_is_given(node, "full_scale_db");
    bool is_sensitivity = yaml_is_given(node, "sensitivity_mv_pa") || yaml_is_given(node, "full_scale_v");
    if (is_recording + is_full_scale + is_sensitivity > 1) {
        err_list_at(reader->errors, ERR_RANGE, &node->key_where, "calibration is given in two ways; give one of: %s",
                    CALIBRATION_WAYS);
        return;
    }
    calibration->kind = is_recording     ? CALIBRATION_RECORDING
                        : is_full_scale  ? CALIBRATION_FULL_SCALE
                        : is_sensitivity ? CALIBRATION_SENSITIVITY
                                         : CALIBRATION_NONE;
    static const struct {
        enum calibration_kind kind;
        const char *key;
    } needed[] = { { CALIBRATION_RECORDING, "file" },
                   { CALIBRATION_RECORDING, "level_db" },
                   { CALIBRATION_SENSITIVITY, "sensitivity_mv_pa" },
                   { CALIBRATION_SENSITIVITY, "full_scale_v" } };
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++)
        if (needed[i].kind == calibration->kind && !yaml_is_given(node, needed[i].key))
            err_list_at(reader->errors, ERR_MISSING, &node->key_where, "%s is missing; calibration is: %s",
                        needed[i].key, CALIBRATION_WAYS);
}

static void read_calibration(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    struct calibration *calibration = &((struct microphone *)target)->calibration;
    yaml_map_read(reader, calibration, node, "calibration", calibration_keys,
                  sizeof calibration_keys / sizeof *calibration_keys);
    if (!node->bad && node->kind == YAML_MAP && node->first)
        check_calibration(reader, calibration, node);
}

static void read_background(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    read_file_name(reader, &((struct microphone *)target)->background, node);
}

static const char *const meter_classes[] = { "none", "1", "2", NULL };

static const struct map_key microphone_keys[] = {
    { "distance_m", .needed = true,
      .value = { VALUE_NUMBER, offsetof(struct microphone, distance_m), 0.01, 10000, .unit = "m" } },
    { "angle_deg", .value = { VALUE_NUMBER, offsetof(struct microphone, angle_deg), 0, 180, .unit = "degrees" } },
    { "height_m", .value = { VALUE_NUMBER, offsetof(struct microphone, height_m), 0, 1000, .unit = "m" } },
    { "source_height_m",
      .value = { VALUE_NUMBER, offsetof(struct microphone, source_height_m), 0, 10000, .unit = "m" } },
    { "background", .read = read_background },
    { "meter_class", .value = { VALUE_CHOICE, offsetof(struct microphone, meter_class), .choices = meter_classes } },
    { "calibration", .read = read_calibration },
};

static void read_microphone(struct campaign_reader *reader, struct microphone *microphone, const struct yaml_node *node)
{
    yaml_map_read(reader, microphone, node, "a microphone", microphone_keys,
                  sizeof microphone_keys / sizeof *microphone_keys);
    double rise_m = fabs(microphone->height_m - microphone->source_height_m);
    if (is_given(rise_m) && is_given(microphone->distance_m) && rise_m > microphone->distance_m * 1.02)
        err_list_at(reader->errors, ERR_RANGE, &node->key_where,
                    "distance_m %s is less than the %s m between height_m and source_height_m; distance_m is the "
                    "straight line",
                    excerpt_number(microphone->distance_m, 6).text, excerpt_number(rise_m, 6).text);
}

static void microphone_init(struct microphone *microphone)
{
    *microphone = (struct microphone){
        .distance_m = ABSENT,
        .angle_deg = ABSENT,
        .height_m = ABSENT,
        .source_height_m = ABSENT,
        .calibration = { .level_db = ABSENT,
                         .frequency_hz = ABSENT,
                         .full_scale_db = ABSENT,
                         .sensitivity_mv_pa = ABSENT,
                         .full_scale_v = ABSENT },
    };
}

/* What is collected at the top of the file before it goes into the campaign. */
struct top {
    struct campaign *campaign;
    char *title, *date, *runs, *reference;
    double reference_distance_m, mains_hz;
};

static void read_microphones(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    struct campaign *campaign = ((struct top *)target)->campaign;
    if (!yaml_is_map(reader, node, "microphones"))
        return;
    campaign->microphones = memory_new(yaml_entry_count(node), sizeof *campaign->microphones);
    if (!campaign->microphones) {
        reader_out_of_memory(reader);
        return;
    }
    for (const struct yaml_node *entry = node->first; entry; entry = entry->next) {
        struct microphone *microphone = &campaign->microphones[campaign->microphone_count];
        microphone_init(microphone);
        microphone->where = entry->key_where;
        microphone->name = memory_copy_text(entry->key);
        if (!microphone->name) {
            reader_out_of_memory(reader);
            return;
        }
        campaign->microphone_count++;
        if (yaml_check_name(reader, entry, "a microphone"))
            read_microphone(reader, microphone, entry);
    }
}

static void read_variants(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    struct campaign *campaign = ((struct top *)target)->campaign;
    if (!yaml_is_map(reader, node, "variants"))
        return;
    campaign->variants = memory_new(yaml_entry_count(node), sizeof *campaign->variants);
    if (!campaign->variants) {
        reader_out_of_memory(reader);
        return;
    }
    for (const struct yaml_node *entry = node->first; entry; entry = entry->next) {
        struct variant *variant = &campaign->variants[campaign->variant_count];
        variant_init(variant);
        variant->where = entry->key_where;
        variant->name = memory_copy_text(entry->key);
        if (!variant->name) {
            reader_out_of_memory(reader);
            return;
        }
        campaign->variant_count++;
        if (yaml_check_name(reader, entry, "a variant"))
            variant_read_yaml(reader, variant, entry);
    }
}

/* The values of an operating quantity that rotors have. */
static const struct value_rule quantity_rules[] = {
    [OPERATING_THRUST_N] = { .type = VALUE_NUMBER, .least = 0.0001, .most = 1000000, .unit = "N" },
    [OPERATING_POWER_W] = { .type = VALUE_NUMBER, .least = 0.001, .most = 100000000, .unit = "W" },
    [OPERATING_RPM] = { .type = VALUE_NUMBER, .least = 1, .most = 500000, .in_thousands = true, .unit = "rev/min" },
    [OPERATING_TIP_SPEED_M_S] = { .type = VALUE_NUMBER, .least = 0.1, .most = 1000, .unit = "m/s" },
    [OPERATING_THROTTLE_PCT] = { .type = VALUE_NUMBER, .least = 0.1, .most = 100, .unit = "%" },
};

static void add_compare_point(struct campaign_reader *reader, struct campaign *campaign,
                              enum operating_quantity quantity, const char *key, const struct yaml_node *node)
{
    struct compare_point point = { .quantity = quantity };
    struct value_rule rule = quantity_rules[quantity];
    rule.offset = offsetof(struct compare_point, value);
    if (!yaml_value_read(reader, &point, key, &rule, node))
        return;
    /* One item at a time: points are few. */
    struct compare_point *grown =
        realloc(campaign->compare_points, (campaign->compare_point_count + 1) * sizeof *grown);
    if (!grown) {
        reader_out_of_memory(reader);
        return;
    }
    campaign->compare_points = grown;
    grown[campaign->compare_point_count++] = point;
}

static void read_compare_at(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    struct campaign *campaign = ((struct top *)target)->campaign;
    const char *names[OPERATING_QUANTITY_COUNT];
    for (int i = 0; i < OPERATING_QUANTITY_COUNT; i++)
        names[i] = operating_quantity_key((enum operating_quantity)i);
    if (!yaml_is_map(reader, node, "compare_at"))
        return;
    for (const struct yaml_node *entry = node->first; entry; entry = entry->next) {
        int quantity = 0;
        while (quantity < OPERATING_QUANTITY_COUNT && strcmp(names[quantity], entry->key) != 0)
            quantity++;
        if (quantity == OPERATING_QUANTITY_COUNT) {
            yaml_unknown_key(reader, entry, names, OPERATING_QUANTITY_COUNT);
        } else if (entry->kind == YAML_LIST) {
            for (const struct yaml_node *item = entry->first; item; item = item->next)
                add_compare_point(reader, campaign, (enum operating_quantity)quantity, entry->key, item);
            if (!entry->first && !entry->bad)
                err_list_at(reader->errors, ERR_MISSING, &entry->where,
                            "%s is an empty list; give it values or leave it out", entry->key);
        } else {
            add_compare_point(reader, campaign, (enum operating_quantity)quantity, entry->key, entry);
        }
    }
}

static const struct map_key air_keys[] = {
    { "temperature_c", .value = { VALUE_NUMBER, offsetof(struct air, temperature_c), -60, 70, .unit = "deg C" } },
    { "humidity_pct", .value = { VALUE_NUMBER, offsetof(struct air, humidity_pct), 0, 100, .unit = "%" } },
    { "pressure_kpa", .value = { VALUE_NUMBER, offsetof(struct air, pressure_kpa), 20, 120, .unit = "kPa" } },
    { "wind_m_s", .value = { VALUE_NUMBER, offsetof(struct air, wind_m_s), 0, 100, .unit = "m/s" } },
};

static void read_air(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    yaml_map_read(reader, &((struct top *)target)->campaign->air, node, "air", air_keys,
                  sizeof air_keys / sizeof *air_keys);
}

/* A day of the calendar as ISO 8601 writes it. */
static bool is_date(const char *text)
{
    static const int days[] = { 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
    if (strlen(text) != 10 || text[4] != '-' || text[7] != '-')
        return false;
    for (int i = 0; i < 10; i++)
        if (i != 4 && i != 7 && (text[i] < '0' || text[i] > '9'))
            return false;
    int year = (text[0] - '0') * 1000 + (text[1] - '0') * 100 + (text[2] - '0') * 10 + text[3] - '0';
    int month = (text[5] - '0') * 10 + text[6] - '0', day = (text[8] - '0') * 10 + text[9] - '0';
    bool is_leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1] - (month == 2 && !is_leap);
}

static void read_date(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    static const struct value_rule rule = { .type = VALUE_TEXT,
                                            .offset = offsetof(struct top, date),
                                            .most = TEXT_MOST };
    if (yaml_value_read(reader, target, "date", &rule, node) && !is_date(node->text))
        err_list_at(reader->errors, ERR_RANGE, &node->where,
                    "date is \"%s\"; must be a day as year-month-day, such as 2026-10-03", excerpt(node->text).text);
}

static void read_runs_name(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    static const struct value_rule rule = { .type = VALUE_TEXT,
                                            .offset = offsetof(struct top, runs),
                                            .most = PATH_MOST };
    struct top *top = target;
    if (yaml_value_read(reader, top, "runs", &rule, node) &&
        !reader_check_file(reader, true, top->runs, &node->where)) {
        free(top->runs);
        top->runs = NULL;
    }
}

static const struct map_key top_keys[] = {
    { "title", .needed = true, .value = { VALUE_TEXT, offsetof(struct top, title), .most = TEXT_MOST } },
    { "date", .read = read_date },
    { "runs", .needed = true, .read = read_runs_name },
    { "reference", .value = { VALUE_TEXT, offsetof(struct top, reference), .most = TEXT_MOST } },
    { "reference_distance_m",
      .value = { VALUE_NUMBER, offsetof(struct top, reference_distance_m), 0.01, 10000, .unit = "m" } },
    { "compare_at", .read = read_compare_at },
    { "air", .read = read_air },
    { "mains_hz", .value = { VALUE_NUMBER, offsetof(struct top, mains_hz), 10, 1000, .unit = "Hz" } },
    { "microphones", .needed = true, .read = read_microphones },
    { "variants", .needed = true, .read = read_variants },
};

static void resolve_reference(struct campaign_reader *reader, const struct top *top, const struct yaml_node *root)
{
    struct campaign *campaign = reader->campaign;
    if (!top->reference || campaign->variant_count == 0 ||
        campaign_find_variant(campaign, top->reference, &campaign->reference))
        return;
    const struct yaml_node *node = yaml_tree_find(root, "reference");
    reader_unknown_name(reader, &node->where, "reference", "variant", top->reference);
}

void campaign_read_yaml(struct campaign_reader *reader, const char *text, size_t size, char **runs_name)
{
    struct campaign *campaign = reader->campaign;
    struct top top = { .campaign = campaign, .reference_distance_m = 1, .mains_hz = ABSENT };
    struct yaml_node *root;
    *runs_name = NULL;
    campaign->air = (struct air){ ABSENT, ABSENT, ABSENT, ABSENT };
    if (!yaml_tree_parse(text, size, reader->file, &root, reader->errors) && !root)
        return;
    yaml_map_read(reader, &top, root, "the campaign", top_keys, sizeof top_keys / sizeof *top_keys);
    resolve_reference(reader, &top, root);
    for (size_t i = 0; i < campaign->variant_count; i++)
        if (!is_given(campaign->variants[i].mains_hz))
            campaign->variants[i].mains_hz = top.mains_hz;
    yaml_tree_free(root);
    campaign->title = top.title;
    campaign->date = top.date;
    campaign->reference_distance_m = top.reference_distance_m;
    *runs_name = top.runs;
    free(top.reference);
}
