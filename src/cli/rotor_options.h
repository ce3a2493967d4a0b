/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_ROTOR_OPTIONS_H
#define THRUM_CLI_ROTOR_OPTIONS_H

/* The rotor of measure and predict: told by options, or a variant of a campaign. */

#include "campaign/campaign.h"
#include "campaign/limits.h"
#include "cli/command.h"

#include <stdbool.h>

/* A speed, read as in the run log: "4.200" is a slip for 4200. */
#define SPEED_ROW(struct_of, member, long_name, text)                                                                  \
    {                                                                                                                  \
        .name = (long_name), .kind = OPTION_VALUE, .argument = "RPM",                                                  \
        .value = { .type = VALUE_NUMBER,                                                                               \
                   .offset = offsetof(struct_of, member),                                                              \
                   .least = RPM_LEAST,                                                                                 \
                   .most = RPM_MOST,                                                                                   \
                   .in_thousands = true },                                                                             \
        .help = (text)                                                                                                 \
    }

/* What the command line says of the rotor; `rotor` is filled by options_parse. */
struct rotor_choice {
    char *campaign_path, *variant_name; /* --campaign, --variant */
    struct variant rotor;
    bool rotor_was_given; /* one of the rotor's keys was there */
};

void rotor_choice_init(struct rotor_choice *choice);
void rotor_choice_clear(struct rotor_choice *choice);

/* Reads the campaign if one was named (without needing its recordings when `without_recordings`) and tells the variant:
 * *variant is NULL when nothing is known, else borrowed from `choice` or `campaign`. */
bool rotor_choice_resolve(const struct rotor_choice *choice, bool without_recordings, struct campaign *campaign,
                          bool *has_campaign, const struct variant **variant, struct err_list *errors) MUST_CHECK;

#endif
