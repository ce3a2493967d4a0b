/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_MEASURE_CAMPAIGN_MEASURE_H
#define THRUM_MEASURE_CAMPAIGN_MEASURE_H

/* All runs of a campaign: the gain and background of each microphone first, then every run, on all processors. Run i
 * goes to slot i, so the outcome does not depend on the number of jobs. */

#include "campaign/campaign.h"
#include "measure/run_result.h"

struct measure_progress {
    /* Called from any thread, never two at a time, when another of `count` recordings is done. NULL: nobody asks. */
    void (*done)(void *context, size_t done_count, size_t count, const char *file);
    void *context;
};

struct measure_plan {
    const size_t *selection; /* the runs to measure, indices in the log's order; NULL: all */
    size_t selection_count;
    int bands_per_octave;
    bool is_diffuse;
    unsigned job_count;
    const struct measure_progress *progress; /* NULL: nobody asks */
};

/* Result i is of the i-th selected run; `runs` has room for them, initialised; they are settled (see run_json.h). False
 * when a calibration can't be used, or memory is out; a background that can't be used and a run that can't be measured
 * are told in the results. */
bool campaign_measure(const struct campaign *campaign, const struct measure_plan *plan, struct run_result *runs,
                      struct err *err) MUST_CHECK;

/* What the log says of run `index`, copied to a result: file, variant, operating point, notes, and the settings that
 * its figures will rest on. */
bool run_result_identify(const struct campaign *campaign, const struct measure_plan *plan, size_t index,
                         struct run_result *out, struct err *err) MUST_CHECK;

#endif
