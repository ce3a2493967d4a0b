/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_PAIRING_H
#define THRUM_COMPARE_PAIRING_H

/* Two variants side by side: with which microphones, and what both read at an operating value. */

#include "compare/compare.h"
#include "compare/difference.h"

#include <stdbool.h>
#include <stddef.h>

/* What every part of a comparison works with. */
struct compare_job {
    struct grid_source source;
    size_t reference;
    struct comparisons *out;
    struct err *err;
};

/* Microphones of a pair: the same one for both where they share one. */
struct pairing {
    size_t variant, reference; /* variants */
    size_t variant_microphone, reference_microphone;
};

/* The pairings of two variants in this grid: one for each microphone that both have, else the two with most runs.
 * Returns how many of at most `room` were written; 0 when one of them has no runs. */
size_t pairings_find(const struct campaign *campaign, const struct grid *grid, size_t variant, size_t reference,
                     struct pairing *out, size_t room);

/* "main", or "main / side" where they differ. */
void pairing_microphones(const struct campaign *campaign, const struct pairing *pairing, char *field, size_t size);

const struct cell *pairing_variant_cell(const struct grid *grid, const struct pairing *pairing);
const struct cell *pairing_reference_cell(const struct grid *grid, const struct pairing *pairing);

/* Third octaves: whether tones hold a noticeable part of the band in a run of either. */
bool pairing_has_tones(const struct grid *grid, const struct pairing *pairing);

/* Where in a comparison: an operating value, from the fits or from the coinciding points nearest to it. */
struct place_of_comparison {
    double value;
    bool at_same_points;
};

struct pair_estimates {
    bool is_given;
    struct estimate variant, reference;
    double mismatch_db; /* difference_compute */
    char reason[300];
};

bool pair_estimate(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                   const struct place_of_comparison *place, struct pair_estimates *out) MUST_CHECK;

/* The difference there; is_given false with the reason where it is refused. */
bool pair_difference(const struct compare_job *job, const struct grid *grid, const struct pairing *pairing,
                     const struct place_of_comparison *place, struct difference *out) MUST_CHECK;

/* The same of estimates that are there. */
struct difference pair_difference_of(const struct compare_job *job, const struct grid *grid,
                                     const struct pairing *pairing, const struct pair_estimates *estimates);

/* A difference of which nothing is known. */
struct difference difference_none(const char *reason);

#endif
