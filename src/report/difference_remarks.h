/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_DIFFERENCE_REMARKS_H
#define THRUM_REPORT_DIFFERENCE_REMARKS_H

/* The remarks on the comparisons, an item each: of shown rotors, and what the first page warns of in any case. */

#include "report/document.h"
#include "report/view.h"

enum remark_set {
    REMARKS_MAIN,   /* runs left out, the answer without doubtful runs, rankings, what looks wrong */
    REMARKS_DETAIL, /* which bands are those of single runs, slopes as they should be */
};

void difference_remarks_add(const struct view *view, struct document *document, enum remark_set set);

#endif
