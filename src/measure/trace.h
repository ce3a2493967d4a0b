/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_TRACE_H
#define THRUM_MEASURE_TRACE_H

/* The narrow-band spectrum as it is drawn: steps of 1/96 octave from 20 Hz on, each the largest line in it, so that
 * every tone shows at its height. */

#include "base/err.h"
#include "meters/figures.h"

#include <stddef.h>

#define TRACE_PER_OCTAVE 96

struct trace {
    double first_hz;  /* mid-frequency of the first step */
    double line_hz;   /* effective noise bandwidth of the lines */
    double *level_db; /* re 20 uPa, or dBFS; ABSENT where the spectrum has no line; owned */
    size_t count;
};

/* Mid-frequency of step `index`. */
double trace_hz(const struct trace *trace, size_t index);

/* From 20 Hz to 20 kHz, or as far as the spectrum goes. */
bool trace_of_spectrum(const struct spectrum *spectrum, struct trace *out, struct err *err) MUST_CHECK;

#endif
