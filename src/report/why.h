/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_WHY_H
#define THRUM_REPORT_WHY_H

/* Where a difference of A-levels comes from, in words, by the contributions of the comparison. Nothing is said of a
 * difference below 0.5 dB, or where the contributions are not known. */

#include "base/text.h"
#include "report/view.h"

/* "Why: at 3 N most of it lies in the broadband noise, above all around 3150 Hz. ", "... in the blade tones, the
 * strongest of them blade 2 of tri at 366 Hz. ": a place is told only of the part that is named. */
void why_add_short(const struct view *view, double at, size_t variant, struct text *out);

/* The same with its figures. */
void why_add_parts(const struct view *view, double at, size_t variant, struct text *out);

/* What a part ("blade tones", "other tones", "broadband") carries of the difference, dB; ABSENT when not known. */
double why_part(const struct view *view, double at, size_t variant, const char *part);

#endif
