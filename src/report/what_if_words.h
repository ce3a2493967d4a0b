/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_WHAT_IF_WORDS_H
#define THRUM_REPORT_WHAT_IF_WORDS_H

/* What to change first, in words, from the what-ifs of the comparison (compare/what_if.h). */

#include "base/text.h"
#include "report/show.h"
#include "report/view.h"

/* Those of a variant, by falling share: at the middle one of the view's points, or the nearest there is. */
struct what_if_list {
    const struct what_if *items;
    size_t count; /* 0: none */
};
struct what_if_list what_ifs_of(const struct view *view, size_t variant);

/* "broadband noise", "of it 2 to 4 kHz", "belt tones", "tones of bearing front", "mains hum". */
struct shown what_if_name(const struct what_if *item);

/* By how much LAeq falls: "2.6", "< 0.1", "all". */
struct shown what_if_fall(const struct what_if *item);

/* Too small to show in 0.1 dB. */
bool what_if_is_small(const struct what_if *item);

/* The parts of the machine with a prominent tone that are left: "blade, belt"; "none". */
void what_if_left(const struct what_if *item, struct text *out);

/* Where work on it usually starts (docs/report.md: common practice). */
const char *what_if_lever(const struct what_if *item);

/* Which source to work on first, what that can bring at most, what comes next, and what is prominent. */
void what_if_advise(const struct what_if_list *list, struct text *out);

#endif
