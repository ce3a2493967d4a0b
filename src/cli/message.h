/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_MESSAGE_H
#define THRUM_CLI_MESSAGE_H

/* The only place where the program speaks to standard error: one line a message, "thrum: FILE:LINE:COLUMN: what".
 * Control characters, as they may stand in a file's name, are shown as \x0A: a message is one line, and moves no
 * terminal. */

#include "base/err.h"
#include "base/text.h"
#include "cli/command.h"

void message_err(const struct err *err);
void message_errors(const struct err_list *errors);
void message(const char *format, ...) PRINTF_LIKE(1, 2);

/* What an error means for the exit status: wrong command line or campaign 2, work that failed 1. */
enum exit_status status_of(enum err_kind kind);

/* Tells what is wrong with the command line or a campaign and returns what it means, whatever the kinds of the errors:
 * wrong use, unless memory is out. */
enum exit_status message_wrong_use(const struct err_list *errors);

/* Writes a text to standard output; false with a message when it can't be written or memory ran out while making it. */
bool print_text(const struct text *text) MUST_CHECK;

#endif
