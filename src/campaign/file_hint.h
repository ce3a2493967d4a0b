/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_CAMPAIGN_FILE_HINT_H
#define THRUM_CAMPAIGN_FILE_HINT_H

/* The file that a user probably meant by a name that is not there. */

#include "base/err.h"

#include <stdbool.h>

/* Looks in the folder that `path` would be in. *hint is the name of the nearest file there (owned by the caller; the
 * last part only), or NULL when none is near. False when memory is out. */
bool file_hint(const char *path, char **hint) MUST_CHECK;

#endif
