/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_HELP_H
#define THRUM_CLI_HELP_H

/* The help texts, from the tables. */

#include "base/text.h"
#include "cli/command.h"

void help_command(const struct command *command, struct text *out);
void help_program(const struct command *const *commands, size_t count, struct text *out);
void help_version(struct text *out);

#endif
