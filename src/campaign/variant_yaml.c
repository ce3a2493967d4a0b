/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/variant_yaml.h"

#include "base/memory.h"
#include "campaign/variant_keys.h"

#include <string.h>

#define NAMES_MAX 24

static const char *const shafts[] = { [SHAFT_ROTOR] = "rotor", [SHAFT_MOTOR] = "motor", NULL };

const struct map_key bearing_keys[] = {
    { "shaft",
      false,
      { VALUE_CHOICE, offsetof(struct bearing, shaft), .choices = shafts,
        .help = "the shaft that turns in it: rotor (default) or motor" },
      NULL },
    { "balls",
      true,
      { VALUE_COUNT, offsetof(struct bearing, balls), 3, 200, .help = "balls or rollers in one row" },
      NULL },
    { "ball_mm",
      true,
      { VALUE_NUMBER, offsetof(struct bearing, ball_mm), 0.1, 500, .unit = "mm", .help = "ball diameter in mm" },
      NULL },
    { "pitch_mm",
      true,
      { VALUE_NUMBER, offsetof(struct bearing, pitch_mm), 0.5, 5000, .unit = "mm",
        .help = "diameter of the circle of the balls' centres in mm" },
      NULL },
    { "contact_deg",
      false,
      { VALUE_NUMBER, offsetof(struct bearing, contact_deg), 0, 60, .unit = "degrees",
        .help = "contact angle in degrees; default 0" },
      NULL },
};
const size_t bearing_key_count = sizeof bearing_keys / sizeof *bearing_keys;

/* Bearings that are whole are added; the others are told. */
static void read_bearings(struct campaign_reader *reader, struct variant *variant, const struct yaml_node *map)
{
    if (!yaml_is_map(reader, map, "bearings"))
        return;
    size_t capacity = variant->bearing_count;
    void *items = variant->bearings;
    if (!memory_grow(&items, &capacity, variant->bearing_count + yaml_entry_count(map), sizeof *variant->bearings)) {
        reader_out_of_memory(reader);
        return;
    }
    variant->bearings = items;
    for (const struct yaml_node *entry = map->first; entry; entry = entry->next) {
        struct bearing bearing = { .shaft = SHAFT_ROTOR, .where = entry->key_where };
        size_t before = reader_mistake_count(reader);
        if (yaml_check_name(reader, entry, "a bearing"))
            yaml_map_read(reader, &bearing, entry, "a bearing", bearing_keys, bearing_key_count);
        if (reader_mistake_count(reader) == before && !entry->bad) {
            bearing.name = memory_copy_text(entry->key);
            if (bearing.name)
                variant->bearings[variant->bearing_count++] = bearing;
            else
                reader_out_of_memory(reader);
        }
    }
}

/* The first part of a path: "motor" of "motor.slots". */
static bool is_below(const char *path, const char *group)
{
    size_t length = strlen(group);
    return strncmp(path, group, length) == 0 && path[length] == '.';
}

static bool is_group(const char *name)
{
    for (size_t i = 0; i < variant_key_count; i++)
        if (is_below(variant_keys[i].path, name))
            return true;
    return false;
}

/* The names that may stand in a variant (group "") or below one of its groups. */
static size_t list_names(const char *group, const char *names[NAMES_MAX])
{
    size_t count = 0;
    for (size_t i = 0; i < variant_key_count && count < NAMES_MAX; i++) {
        const char *path = variant_keys[i].path;
        if (*group ? is_below(path, group) : !strchr(path, '.'))
            names[count++] = *group ? path + strlen(group) + 1 : path;
    }
    if (!*group && count + 3 <= NAMES_MAX) {
        names[count++] = "motor";
        names[count++] = "drive";
        names[count++] = "bearings";
    }
    return count;
}

static const struct variant_key *find_below(const char *group, const char *name)
{
    size_t skipped = *group ? strlen(group) + 1 : 0;
    for (size_t i = 0; i < variant_key_count && !strchr(name, '.'); i++)
        if ((!*group || is_below(variant_keys[i].path, group)) && strcmp(variant_keys[i].path + skipped, name) == 0)
            return &variant_keys[i];
    return NULL;
}

/* A variant on its way, with the place of each key that was given. */
struct reading {
    struct campaign_reader *reader;
    struct variant *variant;
    struct place places[VARIANT_KEY_COUNT];
};

/* The key that a misspelt one was probably meant for, or NULL. */
static const char *read_key(struct reading *reading, const char *group, const struct yaml_node *entry)
{
    const char *names[NAMES_MAX];
    const struct variant_key *key = find_below(group, entry->key);
    if (!key)
        return yaml_unknown_key(reading->reader, entry, names, list_names(group, names));
    if (yaml_value_read(reading->reader, reading->variant, key->path, &key->value, entry))
        reading->places[key - variant_keys] = entry->where;
    return NULL;
}

static void read_group(struct reading *reading, const struct yaml_node *group)
{
    if (!yaml_is_map(reading->reader, group, group->key))
        return;
    for (const struct yaml_node *entry = group->first; entry; entry = entry->next)
        read_key(reading, group->key, entry);
}

bool variant_read_yaml(struct campaign_reader *reader, struct variant *variant, const struct yaml_node *map)
{
    size_t before = reader_mistake_count(reader);
    struct reading reading = { .reader = reader, .variant = variant };
    bool has_blades = false;
    if (yaml_is_map(reader, map, "a variant")) {
        for (const struct yaml_node *entry = map->first; entry; entry = entry->next) {
            const char *meant = NULL;
            if (strcmp(entry->key, "bearings") == 0)
                read_bearings(reader, variant, entry);
            else if (is_group(entry->key))
                read_group(&reading, entry);
            else
                meant = read_key(&reading, "", entry);
            has_blades = has_blades || strcmp(meant ? meant : entry->key, "blades") == 0;
        }
        if (!has_blades)
            err_list_at(reader->errors, ERR_MISSING, &map->key_where, "blades is missing; a variant needs it");
    }
    /* How the values go together is only worth telling when each of them is right. */
    return reader_mistake_count(reader) == before && !map->bad &&
           variant_check_places(variant, &map->key_where, reading.places, reader->errors);
}

bool variant_add_bearing_text(struct variant *variant, const char *yaml_text, const struct place *where,
                              struct err_list *errors)
{
    struct campaign_reader reader = { .file = where ? where->file : NULL, .errors = errors };
    struct yaml_node *root;
    size_t before = reader_mistake_count(&reader);
    if (yaml_tree_parse(yaml_text, strlen(yaml_text), reader.file, &root, errors) || root)
        read_bearings(&reader, variant, root);
    yaml_tree_free(root);
    return reader_mistake_count(&reader) == before;
}
