/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_DIFFERENCE_ROWS_H
#define THRUM_REPORT_DIFFERENCE_ROWS_H

/* Tables of differences of the shown rotors from the reference: a row each, all quantities but the third octaves, which
 * the bands' pictures and comparisons.csv hold. */

#include "report/table.h"
#include "report/view.h"

enum difference_set {
    DIFFERENCES_MIDDLE, /* at the middle point */
    DIFFERENCES_OTHER_POINTS,
    DIFFERENCES_OTHER_QUANTITIES, /* A-levels at other equal operating quantities */
};

struct table *difference_rows(const struct view *view, const char *caption, enum difference_set set);

#endif
