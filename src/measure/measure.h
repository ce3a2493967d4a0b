/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_MEASURE_H
#define THRUM_MEASURE_MEASURE_H

/* One recording from its file to its results: survey, then one pass through all meters, then the rotor, hearing and the
 * reference distance. Recordings do not depend on each other and run side by side. */

#include "measure/run_result.h"
#include "recording/gain.h"

struct measure_request {
    const char *path;              /* of the recording */
    const struct variant *variant; /* NULL: nothing known of the rotor */
    struct gain gain;
    const struct findings *gain_findings;    /* about the calibration, copied to the run; NULL for none */
    const struct figures *background;        /* figures of the background at the same gain; NULL: none */
    double distance_m, reference_distance_m; /* ABSENT: no distance correction */
    double height_m, source_height_m;        /* for the ground reflection; ABSENT where not given */
    struct air air;
    struct rotor_log log;
    int channel;
    double start_s, end_s;
    int bands_per_octave; /* 3: third octaves only */
    bool is_diffuse;
};

void measure_request_init(struct measure_request *request);

/* Fills the measured part of *out (its identity is the caller's). A recording that can't be measured is not an error of
 * this call: out->error says so. False only for lack of memory or our own bugs. */
bool measure_recording(const struct measure_request *request, struct run_result *out, struct err *err) MUST_CHECK;

#endif
