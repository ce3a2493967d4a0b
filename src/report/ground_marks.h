/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_GROUND_MARKS_H
#define THRUM_REPORT_GROUND_MARKS_H

/* Where a hard ground weakens what a microphone hears, by the heights that the campaign gives (meters/ground.h): marked
 * on spectra, listed with the conditions. Nothing where a height is not given. */

#include "report/chart.h"
#include "report/document.h"
#include "report/view.h"

/* Of the microphone of `run`. The way over the ground and the direct one come in with opposite phase at a dip; where
 * their phases differ by 120 to 240 degrees both together are weaker than the direct one: a third of the spacing of
 * the dips to half of it on each side, i.e. dip +- c / (6 D). */
void ground_marks_add(const struct view *view, const struct run_result *run, struct chart *chart);

/* A table of the dips of every microphone. */
void ground_marks_list(const struct view *view, struct document *document);

#endif
