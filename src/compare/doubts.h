/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_DOUBTS_H
#define THRUM_COMPARE_DOUBTS_H

/* Remarks about runs: which were left out, whose log the sound contradicts, and what the answer is without the doubtful
 * ones. */

#include "compare/pairing.h"

#include <stdbool.h>

bool doubts_tell_runs(const struct compare_job *job) MUST_CHECK;

/* Variants of the campaign that have no usable run on this axis, and so are not compared. */
bool doubts_tell_missing(const struct compare_job *job, enum operating_quantity at) MUST_CHECK;

bool doubts_any_doubtful(const struct grid_source *source);

/* Runs in doubt: by a finding, or because they lie far off the others (far_off.h). */
enum doubt { DOUBT_FINDING, DOUBT_FAR_OFF };

/* One remark about the A-level there, when a run in doubt takes part in it: `without` is the same grid without them. */
bool doubts_tell_without(const struct compare_job *job, const struct grid *with, const struct grid *without,
                         enum doubt doubt, const struct pairing *pairing,
                         const struct place_of_comparison *place) MUST_CHECK;

#endif
