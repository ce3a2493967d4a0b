/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/campaign_yaml.h"

#include "base/absent.h"
#include "base/memory.h"
#include "campaign/limits.h"
#include "campaign/microphone_yaml.h"
#include "campaign/text_check.h"
#include "campaign/variant_yaml.h"
#include "campaign/yaml_map.h"

#include <stdlib.h>
#include <string.h>

#define TEXT_MOST 200
#define PATH_MOST 1000

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
            microphone_read_yaml(reader, microphone, entry);
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
const struct value_rule quantity_rules[OPERATING_QUANTITY_COUNT] = {
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
    size_t told = 0;
    for (size_t i = 0; i < campaign->compare_point_count; i++)
        told += campaign->compare_points[i].quantity == quantity;
    if (told == COMPARE_POINTS_MAX)
        err_list_at(reader->errors, ERR_RANGE, &node->where, "more than %d values of %s; leave some out",
                    COMPARE_POINTS_MAX, key);
    if (told > COMPARE_POINTS_MAX)
        return;
    void *items = campaign->compare_points;
    size_t count = campaign->compare_point_count, capacity = count;
    if (!memory_grow(&items, &capacity, count + 1, sizeof point)) {
        reader_out_of_memory(reader);
        return;
    }
    campaign->compare_points = items;
    campaign->compare_points[campaign->compare_point_count++] = point;
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

const struct map_key air_keys[AIR_KEY_COUNT] = {
    { "temperature_c", .value = { VALUE_NUMBER, offsetof(struct air, temperature_c), -60, 70, .unit = "deg C" } },
    { "humidity_pct", .value = { VALUE_NUMBER, offsetof(struct air, humidity_pct), 0, 100, .unit = "%" } },
    { "pressure_kpa", .value = { VALUE_NUMBER, offsetof(struct air, pressure_kpa), 20, 120, .unit = "kPa" } },
    { "wind_m_s", .value = { VALUE_NUMBER, offsetof(struct air, wind_m_s), 0, 100, .unit = "m/s" } },
};

static void read_air(struct campaign_reader *reader, void *target, const struct yaml_node *node)
{
    yaml_map_read(reader, &((struct top *)target)->campaign->air, node, "air", air_keys, AIR_KEY_COUNT);
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

const struct map_key top_keys[TOP_KEY_COUNT] = {
    { "title", .needed = true, .value = { VALUE_TEXT, offsetof(struct top, title), .most = TEXT_MOST } },
    { "date", .read = read_date },
    { "runs", .needed = true, .read = read_runs_name },
    { "reference", .value = { VALUE_TEXT, offsetof(struct top, reference), .most = TEXT_MOST } },
    { "reference_distance_m", .value = { VALUE_NUMBER, offsetof(struct top, reference_distance_m), DISTANCE_LEAST_M,
                                         DISTANCE_MOST_M, .unit = "m" } },
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
    yaml_map_read(reader, &top, root, "the campaign", top_keys, TOP_KEY_COUNT);
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
