/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/microphone_yaml.h"

#include "base/absent.h"
#include "campaign/limits.h"
#include "campaign/text_check.h"

#include <math.h>
#include <stddef.h>

#define PATH_MOST 1000

void microphone_init(struct microphone *microphone)
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

const struct map_key calibration_keys[CALIBRATION_KEY_COUNT] = {
    { "file", .read = read_calibration_file },
    { "after", .read = read_after_file },
    { "level_db", .value = { VALUE_NUMBER, offsetof(struct calibration, level_db), CALIBRATOR_LEAST_DB,
                             CALIBRATOR_MOST_DB, .unit = "dB" } },
    { "frequency_hz", .value = { VALUE_NUMBER, offsetof(struct calibration, frequency_hz), CALIBRATOR_LEAST_HZ,
                                 CALIBRATOR_MOST_HZ, .unit = "Hz" } },
    { "full_scale_db", .value = { VALUE_NUMBER, offsetof(struct calibration, full_scale_db), FULL_SCALE_LEAST_DB,
                                  FULL_SCALE_MOST_DB, .unit = "dB" } },
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
    yaml_map_read(reader, calibration, node, "calibration", calibration_keys, CALIBRATION_KEY_COUNT);
    if (!node->bad && node->kind == YAML_MAP && node->first)
        check_calibration(reader, calibration, node);
}

static void read_background(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    read_file_name(reader, &((struct microphone *)target)->background, node);
}

static const char *const meter_classes[] = { "none", "1", "2", NULL };

const struct map_key microphone_keys[MICROPHONE_KEY_COUNT] = {
    { "distance_m", .needed = true,
      .value = { VALUE_NUMBER, offsetof(struct microphone, distance_m), DISTANCE_LEAST_M, DISTANCE_MOST_M,
                 .unit = "m" } },
    { "angle_deg", .value = { VALUE_NUMBER, offsetof(struct microphone, angle_deg), 0, 180, .unit = "degrees" } },
    { "height_m", .value = { VALUE_NUMBER, offsetof(struct microphone, height_m), 0, 1000, .unit = "m" } },
    { "source_height_m",
      .value = { VALUE_NUMBER, offsetof(struct microphone, source_height_m), 0, 10000, .unit = "m" } },
    { "background", .read = read_background },
    { "meter_class", .value = { VALUE_CHOICE, offsetof(struct microphone, meter_class), .choices = meter_classes } },
    { "calibration", .read = read_calibration },
};

void microphone_read_yaml(struct campaign_reader *reader, struct microphone *microphone, const struct yaml_node *node)
{
    yaml_map_read(reader, microphone, node, "a microphone", microphone_keys, MICROPHONE_KEY_COUNT);
    double rise_m = fabs(microphone->height_m - microphone->source_height_m);
    if (is_given(rise_m) && is_given(microphone->distance_m) && rise_m > microphone->distance_m * 1.02)
        err_list_at(reader->errors, ERR_RANGE, &node->key_where,
                    "distance_m %s is less than the %s m between height_m and source_height_m; distance_m is the "
                    "straight line",
                    excerpt_number(microphone->distance_m, 6).text, excerpt_number(rise_m, 6).text);
}
