/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/settings.h"

#include "base/absent.h"
#include "base/memory.h"
#include "campaign/text_check.h"
#include "campaign/variant_keys.h"
#include "campaign/variant_yaml.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DIGITS 12 /* more than anybody types */

void settings_add(struct settings *settings, const char *name, const char *value)
{
    void *items = settings->items;
    if (settings->failed || !value)
        return;
    if (!memory_grow(&items, &settings->capacity, settings->count + 1, sizeof *settings->items)) {
        settings->failed = true;
        return;
    }
    settings->items = items;
    struct setting *setting = &settings->items[settings->count++];
    *setting = (struct setting){ memory_copy_text(name), memory_copy_text(value) };
    settings->failed = !setting->name || !setting->value;
}

void settings_clear(struct settings *settings)
{
    for (size_t i = 0; i < settings->count; i++) {
        free(settings->items[i].name);
        free(settings->items[i].value);
    }
    free(settings->items);
    *settings = (struct settings){ 0 };
}

static void add_number(struct settings *settings, const char *name, double value)
{
    if (is_given(value))
        settings_add(settings, name, excerpt_number(value, DIGITS).text);
}

/* One value of a struct by its rule; a count of 0 was not given. */
static void add_by_rule(struct settings *settings, const char *name, const struct value_rule *rule, const void *record)
{
    const char *at = (const char *)record + rule->offset;
    double number;
    int whole;
    if (rule->type == VALUE_NUMBER) {
        memcpy(&number, at, sizeof number);
        add_number(settings, name, number);
    } else if (rule->type == VALUE_COUNT) {
        memcpy(&whole, at, sizeof whole);
        add_number(settings, name, whole > 0 ? whole : ABSENT);
    } else if (rule->type == VALUE_CHOICE) {
        memcpy(&whole, at, sizeof whole);
        settings_add(settings, name, rule->choices[whole]);
    }
}

static void add_variant(struct settings *settings, const struct variant *variant)
{
    settings_add(settings, "variant", variant->name);
    for (size_t i = 0; i < variant_key_count; i++)
        add_by_rule(settings, variant_keys[i].path, &variant_keys[i].value, variant);
    for (size_t i = 0; i < variant->bearing_count; i++) {
        for (size_t j = 0; j < bearing_key_count; j++) {
            char name[160];
            snprintf(name, sizeof name, "bearings.%s.%s", variant->bearings[i].name, bearing_keys[j].name);
            add_by_rule(settings, name, &bearing_keys[j].value, &variant->bearings[i]);
        }
    }
}

static void add_microphone(struct settings *settings, const struct microphone *microphone)
{
    const struct calibration *calibration = &microphone->calibration;
    settings_add(settings, "microphone", microphone->name);
    add_number(settings, "distance_m", microphone->distance_m);
    add_number(settings, "height_m", microphone->height_m);
    add_number(settings, "source_height_m", microphone->source_height_m);
    settings_add(settings, "background", microphone->background);
    add_number(settings, "meter_class", microphone->meter_class > 0 ? microphone->meter_class : ABSENT);
    settings_add(settings, "calibration.file", calibration->file);
    settings_add(settings, "calibration.after", calibration->after_file);
    add_number(settings, "calibration.level_db", calibration->level_db);
    add_number(settings, "calibration.frequency_hz", calibration->frequency_hz);
    add_number(settings, "calibration.full_scale_db", calibration->full_scale_db);
    add_number(settings, "calibration.sensitivity_mv_pa", calibration->sensitivity_mv_pa);
    add_number(settings, "calibration.full_scale_v", calibration->full_scale_v);
}

void settings_add_run(struct settings *settings, const struct campaign *campaign, size_t index)
{
    const struct run *run = &campaign->runs[index];
    settings_add(settings, "file", run->file);
    add_number(settings, "rpm", run->rpm);
    add_number(settings, "rpm_tolerance_pct", run->rpm_tolerance_pct);
    add_number(settings, "motor_rpm", run->motor_rpm);
    add_number(settings, "voltage_v", run->voltage_v);
    add_number(settings, "start_s", run->start_s);
    add_number(settings, "end_s", run->end_s);
    add_number(settings, "channel", run->channel + 1);
    add_number(settings, "tach_channel", run->tach_channel >= 0 ? run->tach_channel + 1 : ABSENT);
    add_number(settings, "tach_pulses_per_rev", run->tach_pulses_per_rev);
    add_variant(settings, &campaign->variants[run->variant]);
    add_microphone(settings, &campaign->microphones[run->microphone]);
    add_number(settings, "reference_distance_m", campaign->reference_distance_m);
    add_number(settings, "air.temperature_c", campaign->air.temperature_c);
    add_number(settings, "air.humidity_pct", campaign->air.humidity_pct);
    add_number(settings, "air.pressure_kpa", campaign->air.pressure_kpa);
}

static const char *value_of(const struct settings *settings, const char *name)
{
    for (size_t i = 0; i < settings->count; i++)
        if (strcmp(settings->items[i].name, name) == 0)
            return settings->items[i].value;
    return NULL;
}

const char *settings_difference(const struct settings *before, const struct settings *now, const char **was,
                                const char **is)
{
    for (size_t i = 0; i < now->count; i++) {
        *is = now->items[i].value;
        *was = value_of(before, now->items[i].name);
        if (!*was || strcmp(*was, *is) != 0)
            return now->items[i].name;
    }
    *is = NULL;
    for (size_t i = 0; i < before->count; i++) {
        *was = before->items[i].value;
        if (!value_of(now, before->items[i].name))
            return before->items[i].name;
    }
    return NULL;
}
