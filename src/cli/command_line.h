/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_COMMAND_LINE_H
#define THRUM_CLI_COMMAND_LINE_H

/* What every command begins with: its options and operands taken, --help answered, mistakes told. */

#include "cli/command.h"
#include "cli/options.h"
#include "cli/rotor_options.h"

#include <stdbool.h>

/* True: `values`, `rotor` (NULL for commands without one) and `operands` are as given and the command goes on. False:
 * all has been said, and *status is what to return. */
bool command_line_take(const struct command *command, int argc, char **argv, void *values, struct rotor_choice *rotor,
                       struct operands *operands, enum exit_status *status) MUST_CHECK;

#endif
