/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_VARIANT_KEYS_H
#define THRUM_CAMPAIGN_VARIANT_KEYS_H

/* The one table of what can be said of a variant: campaign.yaml and the command line both read from it. */

#include "campaign/campaign.h"
#include "campaign/value.h"

#include <stdbool.h>
#include <stddef.h>

struct variant_key {
    const char *path;   /* in campaign.yaml below the variant: "motor.pole_pairs" */
    const char *option; /* on the command line, without "--": "motor-pole-pairs"; the drive's keys without "drive-" */
    struct value_rule value;
};

#define VARIANT_KEY_COUNT 16
extern const struct variant_key variant_keys[VARIANT_KEY_COUNT];
extern const size_t variant_key_count;

/* The key of that path in campaign.yaml, or NULL. */
const struct variant_key *variant_key_find(const char *path);

/* Sets one value of a variant from text; `where` may be NULL (command line). */
bool variant_key_set(struct variant *variant, const struct variant_key *key, const char *text,
                     const struct place *where, struct err *err) MUST_CHECK;

/* What single keys can't tell: a belt without its pulleys, teeth of a drive that is not there, a bearing whose balls do
 * not fit. False with one entry in `errors` for each mistake, at `where`, or NULL: keys are then named as options. */
bool variant_check(const struct variant *variant, const struct place *where, struct err_list *errors) MUST_CHECK;

/* The same, but a mistake about one key is told at its place: line 0 in `places` where the key was not given. */
bool variant_check_places(const struct variant *variant, const struct place *where,
                          const struct place places[VARIANT_KEY_COUNT], struct err_list *errors) MUST_CHECK;

/* Adds the bearings of a YAML text such as "front: {shaft: rotor, balls: 7, ball_mm: 3.969, pitch_mm: 15}". */
bool variant_add_bearing_text(struct variant *variant, const char *yaml_text, const struct place *where,
                              struct err_list *errors) MUST_CHECK;

#endif
