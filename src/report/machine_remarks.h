/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_MACHINE_REMARKS_H
#define THRUM_REPORT_MACHINE_REMARKS_H

#include "report/document.h"
#include "report/view.h"

/* What the tones say about the machines: of the runs of a rotor that say the same the worst, with the range of all and
 * whether it goes with the operating point. */
void machine_remarks_add(const struct view *view, struct document *document);

#endif
