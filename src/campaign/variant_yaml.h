/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_VARIANT_YAML_H
#define THRUM_CAMPAIGN_VARIANT_YAML_H

/* One variant from campaign.yaml, by the table of variant_keys.h, and its bearings. */

#include "campaign/campaign_read.h"
#include "campaign/yaml_map.h"
#include "campaign/yaml_tree.h"

#include <stdbool.h>
#include <stddef.h>

extern const struct map_key bearing_keys[];
extern const size_t bearing_key_count;

/* Fills an initialised variant from the map below its name; true when it is whole and without a mistake. */
bool variant_read_yaml(struct campaign_reader *reader, struct variant *variant, const struct yaml_node *map);

#endif
