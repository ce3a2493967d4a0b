/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/yaml_map.h"

#include "base/nearest.h"
#include "campaign/text_check.h"

#include <stdio.h>
#include <string.h>

#define KEYS_MAX 24
#define NAME_BYTES_MAX 63
#define NAME_FORBIDDEN "/\\\"'<>|:*?" /* names stand in file names and on command lines */
#define NAME_CHARACTERS_MAX 48

size_t yaml_entry_count(const struct yaml_node *node)
{
    size_t count = 0;
    for (const struct yaml_node *entry = node->first; entry; entry = entry->next)
        count++;
    return count;
}

bool yaml_is_given(const struct yaml_node *map, const char *key)
{
    return yaml_tree_find(map, key) != NULL;
}

static bool is_empty_scalar(const struct yaml_node *node)
{
    return node->kind == YAML_SCALAR && !node->quoted && !*node->text;
}

bool yaml_is_map(struct campaign_reader *reader, const struct yaml_node *node, const char *what)
{
    if (node->bad)
        return false;
    if (node->kind == YAML_MAP && node->first)
        return true;
    if (node->kind == YAML_MAP || is_empty_scalar(node))
        err_list_at(reader->errors, ERR_MISSING, &node->where, "%s is empty; keys and values are needed", what);
    else
        err_list_at(reader->errors, ERR_SYNTAX, &node->where, "%s must hold keys and values, not %s", what,
                    node->kind == YAML_LIST ? "a list" : "a single value");
    return false;
}

const char *yaml_unknown_key(struct campaign_reader *reader, const struct yaml_node *entry, const char *const *names,
                             size_t name_count)
{
    const char *near = nearest_name(entry->key, names, name_count);
    if (near) {
        err_list_at(reader->errors, ERR_NAME, &entry->key_where, "unknown key \"%s\"; perhaps %s is meant",
                    excerpt(entry->key).text, near);
        return near;
    }
    if (*entry->key && entry->key[strspn(entry->key, "0123456789")] == '\0') {
        err_list_at(reader->errors, ERR_NAME, &entry->key_where,
                    "unknown key \"%s\"; if it stands behind a decimal comma, write a point", excerpt(entry->key).text);
        return NULL;
    }
    char known[180] = "";
    size_t used = 0;
    for (size_t i = 0; i < name_count && used < sizeof known; i++)
        used += (size_t)snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", names[i]);
    err_list_at(reader->errors, ERR_NAME, &entry->key_where, "unknown key \"%s\"; known here: %s",
                excerpt(entry->key).text, known);
    return NULL;
}

bool yaml_check_name(struct campaign_reader *reader, const struct yaml_node *entry, const char *what)
{
    const char *name = entry->key, *wrong = strpbrk(name, NAME_FORBIDDEN);
    size_t length = strlen(name), character_count = text_character_count(name);
    char why[160] = "";
    for (const char *at = name; *at; at++)
        if ((unsigned char)*at < 0x20)
            snprintf(why, sizeof why, "a control character may not stand in a name");
    if (length == 0)
        snprintf(why, sizeof why, "a name is not empty");
    else if (wrong)
        snprintf(why, sizeof why, "%c may not stand in a name, nor any of %s", *wrong, NAME_FORBIDDEN);
    else if (character_count > NAME_CHARACTERS_MAX || length > NAME_BYTES_MAX)
        snprintf(why, sizeof why, "it has %zu characters of %zu bytes; at most %d of %d bytes are right",
                 character_count, length, NAME_CHARACTERS_MAX, NAME_BYTES_MAX);
    else if (strchr("-. ", name[0]) || name[length - 1] == ' ')
        snprintf(why, sizeof why, "a name begins with no -, . or space, and ends with no space");
    if (why[0])
        err_list_at(reader->errors, ERR_NAME, &entry->key_where, "\"%s\" can't name %s; %s", excerpt(name).text, what,
                    why);
    return !why[0];
}

bool yaml_value_read(struct campaign_reader *reader, void *target, const char *key, const struct value_rule *rule,
                     const struct yaml_node *node)
{
    struct err err;
    bool is_number = rule->type == VALUE_NUMBER || rule->type == VALUE_COUNT;
    if (node->bad)
        return false;
    if (node->kind != YAML_SCALAR)
        err_list_at(reader->errors, ERR_SYNTAX, &node->where, "%s must be a single value, not %s", key,
                    node->kind == YAML_LIST ? "a list" : "keys and values");
    else if (is_empty_scalar(node))
        err_list_at(reader->errors, ERR_MISSING, &node->where, "%s has no value; give it one", key);
    else if (is_number && node->quoted)
        err_list_at(reader->errors, ERR_RANGE, &node->where,
                    "%s is quoted, \"%s\"; must be a plain number without quotes", key, excerpt(node->text).text);
    else if (!value_set(target, key, rule, node->text, &node->where, &err))
        err_list_add(reader->errors, &err);
    else
        return true;
    return false;
}

static const struct map_key *find_key(const struct map_key *keys, size_t key_count, const char *name)
{
    for (size_t i = 0; name && i < key_count; i++)
        if (strcmp(keys[i].name, name) == 0)
            return &keys[i];
    return NULL;
}

/* What an unknown key was probably meant for, or NULL; tells it. */
static const char *tell_unknown(struct campaign_reader *reader, const struct yaml_node *entry,
                                const struct map_key *keys, size_t key_count)
{
    const char *names[KEYS_MAX];
    size_t count = key_count < KEYS_MAX ? key_count : KEYS_MAX;
    for (size_t i = 0; i < count; i++)
        names[i] = keys[i].name;
    return yaml_unknown_key(reader, entry, names, count);
}

void yaml_map_read(struct campaign_reader *reader, void *target, const struct yaml_node *map, const char *what,
                   const struct map_key *keys, size_t key_count)
{
    bool meant[KEYS_MAX] = { false }; /* a misspelt key is told once, not as missing too */
    if (!yaml_is_map(reader, map, what))
        return;
    for (const struct yaml_node *entry = map->first; entry; entry = entry->next) {
        const struct map_key *key = find_key(keys, key_count, entry->key);
        if (key && key->read)
            key->read(reader, target, entry);
        else if (key)
            yaml_value_read(reader, target, key->name, &key->value, entry);
        else if ((key = find_key(keys, key_count, tell_unknown(reader, entry, keys, key_count))))
            meant[key - keys] = true;
    }
    const struct place *where = map->key ? &map->key_where : &map->where;
    for (size_t i = 0; i < key_count; i++)
        if (keys[i].needed && !meant[i] && !yaml_is_given(map, keys[i].name))
            err_list_at(reader->errors, ERR_MISSING, where, "%s is missing; %s needs it", keys[i].name, what);
}
