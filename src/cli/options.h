/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_OPTIONS_H
#define THRUM_CLI_OPTIONS_H

/* The command line through getopt_long, by the command's tables. Names are not to be abbreviated: a new option must not
 * break a script. */

#include "base/err.h"
#include "campaign/campaign.h"
#include "cli/command.h"

#include <stdbool.h>

struct operands {
    char **items; /* borrowed from argv */
    int count;
};

/* Sets the members of `values` from the options in argv (argv[0] is the command's name). `rotor` takes the variant's
 * keys where the command has them; `*rotor_was_given` tells whether one was there. --help sets *wants_help and nothing
 * else matters then. */
bool options_parse(const struct command *command, int argc, char **argv, void *values, struct variant *rotor,
                   bool *rotor_was_given, bool *wants_help, struct operands *operands,
                   struct err_list *errors) MUST_CHECK;

#endif
