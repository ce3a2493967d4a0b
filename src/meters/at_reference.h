/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_AT_REFERENCE_H
#define THRUM_METERS_AT_REFERENCE_H

/* From the microphone to the reference distance: background taken off by band (K1 of ISO 3744:2010, 8.2.3), spherical
 * spreading 20 lg(r/r_ref) (free field), air absorption (ISO 9613-1:1993) where it reaches 0.05 dB. */

#include "campaign/campaign.h"
#include "meters/figures.h"
#include "recording/finding.h"

#include <stdbool.h>

struct band_at_reference {
    double background_db; /* ABSENT without a background recording */
    double level_db;      /* at the reference distance, background taken off */
    bool is_upper_bound;  /* less than 6 dB above the background: the level is at most this */
};

struct at_reference {
    double laeq_db;
    double background_correction_db; /* of LAeq, <= 0; ABSENT without a background */
    double distance_correction_db;   /* of LAeq: spreading */
    double absorption_correction_db; /* of LAeq: air, 0 where it does not reach 0.05 dB or the air is not given */
    bool is_upper_bound;
    struct band_at_reference *bands; /* one for each of the run's third-octave bands; owned */
    size_t band_count;
};

struct reference_conditions {
    double distance_m, reference_distance_m;
    struct air air;
    const struct figures *background; /* NULL: none. Same gain as the run */
};

bool at_reference_compute(const struct figures *figures, const struct reference_conditions *conditions,
                          struct at_reference *out, struct findings *findings, struct err *err) MUST_CHECK;
void at_reference_clear(struct at_reference *at_reference);

#endif
