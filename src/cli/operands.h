/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_OPERANDS_H
#define THRUM_CLI_OPERANDS_H

#include "cli/options.h"

/* Results and reports are UTF-8 text, and a recording's name stands in them: false where one is not UTF-8 or holds a
 * control character. */
bool operands_are_text(const struct operands *files, struct err *err) MUST_CHECK;

#endif
