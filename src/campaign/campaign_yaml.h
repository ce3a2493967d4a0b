/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_CAMPAIGN_YAML_H
#define THRUM_CAMPAIGN_CAMPAIGN_YAML_H

/* The tables of campaign.yaml above its microphones and variants; reading is in campaign_read.h. */

#include "campaign/campaign_read.h"
#include "campaign/yaml_map.h"

#define TOP_KEY_COUNT 10
#define AIR_KEY_COUNT 4
extern const struct map_key top_keys[TOP_KEY_COUNT];
extern const struct map_key air_keys[AIR_KEY_COUNT];                     /* of struct air */
extern const struct value_rule quantity_rules[OPERATING_QUANTITY_COUNT]; /* of compare_at, without offsets */

#endif
