/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_TRACE_H
#define THRUM_MEASURE_TRACE_H

/* The narrow-band spectrum as it is drawn: on a logarithmic axis, every tone at its height. */

#include "measure/run_result.h"

/* From 20 Hz to 20 kHz, or as far as the spectrum goes. */
bool trace_of_spectrum(const struct spectrum *spectrum, struct trace *out, struct err *err) MUST_CHECK;

#endif
