/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CLI_OUTPUT_FOLDER_H
#define THRUM_CLI_OUTPUT_FOLDER_H

#include "base/err.h"

#include <stdbool.h>

/* Whether `path` is a folder that can be written, or can be made: looked at before hours of measuring, without making
 * anything. True is no promise: what writes tells for itself. */
bool output_folder_check(const char *path, struct err *err) MUST_CHECK;

#endif
