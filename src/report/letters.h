/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_LETTERS_H
#define THRUM_REPORT_LETTERS_H

/* Letters that no font of this machine has: they come out as boxes in the PDF and in pictures. */

#include "compare/results.h"

#include <stdbool.h>

/* Whether the campaign's title or a name, title or note of its rotors, microphones and runs has such letters. */
bool letters_lack(const struct results *results);

#endif
