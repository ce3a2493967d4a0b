/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_YAML_MAP_H
#define THRUM_CAMPAIGN_YAML_MAP_H

/* Reading a map of the tree by a table of its keys: unknown keys with the nearest right one, values by their rules,
 * needed ones that are missing. Everything is told in the order of the file; nodes that were told already are passed
 * over. */

#include "campaign/campaign_read.h"
#include "campaign/value.h"
#include "campaign/yaml_tree.h"

#include <stdbool.h>
#include <stddef.h>

struct map_key {
    const char *name;
    bool needed;
    struct value_rule value;
    /* Instead of a value: reads what stands below the key. */
    void (*read)(struct campaign_reader *reader, void *target, const struct yaml_node *node);
};

/* `what` is "a variant", for messages. */
void yaml_map_read(struct campaign_reader *reader, void *target, const struct yaml_node *map, const char *what,
                   const struct map_key *keys, size_t key_count);

/* One value; false when it was not set, after telling why: nobody need tell it again. */
bool yaml_value_read(struct campaign_reader *reader, void *target, const char *key, const struct value_rule *rule,
                     const struct yaml_node *node);

/* True when `node` is a map with something in it. */
bool yaml_is_map(struct campaign_reader *reader, const struct yaml_node *node, const char *what) MUST_CHECK;

/* True when the map has that key. */
bool yaml_is_given(const struct yaml_node *map, const char *key) MUST_CHECK;

/* Tells an unknown key; the one of `names` that was probably meant, or NULL. */
const char *yaml_unknown_key(struct campaign_reader *reader, const struct yaml_node *entry, const char *const *names,
                             size_t name_count);

/* A name that the user chose, for a microphone, variant or bearing: it may stand in file names and on the command line.
 */
bool yaml_check_name(struct campaign_reader *reader, const struct yaml_node *entry, const char *what) MUST_CHECK;

size_t yaml_entry_count(const struct yaml_node *node);

#endif
