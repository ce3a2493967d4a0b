/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_NEAREST_H
#define THRUM_BASE_NEAREST_H

/* The name that a user probably meant. */

#include <stddef.h>

/* The one of `count` names that is nearest to `text` by edits (insert, delete, replace, swap of neighbours), or NULL if
 * none is within a third of its length (at least 1, at most 3). Borrowed from `names`. */
const char *nearest_name(const char *text, const char *const *names, size_t count);

#endif
