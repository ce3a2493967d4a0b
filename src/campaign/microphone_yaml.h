/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_MICROPHONE_YAML_H
#define THRUM_CAMPAIGN_MICROPHONE_YAML_H

/* One microphone from campaign.yaml: where it stood, its background and how it is calibrated. */

#include "campaign/campaign_read.h"
#include "campaign/yaml_map.h"

#define MICROPHONE_KEY_COUNT 7
#define CALIBRATION_KEY_COUNT 7
extern const struct map_key microphone_keys[MICROPHONE_KEY_COUNT];   /* of struct microphone */
extern const struct map_key calibration_keys[CALIBRATION_KEY_COUNT]; /* of struct calibration */

/* Everything not given. */
void microphone_init(struct microphone *microphone);

/* Fills an initialised microphone from the map below its name. */
void microphone_read_yaml(struct campaign_reader *reader, struct microphone *microphone, const struct yaml_node *node);

#endif
