/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_BAND_STAGE_H
#define THRUM_METERS_BAND_STAGE_H

/* All band filters that run at one of the octave-decimated rates, four abreast: lanes of a vector are bands. What the
 * filters have in common, (1 - z^-2)^4, is taken first and once. Vector arithmetic is lane by lane, so the bits are
 * those of scalar code on every processor. */

#include "base/lanes.h"
#include "meters/band_filter.h"

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* The recursive sections of four bands and their state. Lanes without a band have all-zero coefficients. */
struct band_sections {
    lanes a1[BAND_SECTIONS], a2[BAND_SECTIONS];
    lanes before[BAND_SECTIONS], before2[BAND_SECTIONS];
};

struct band_group {
    struct band_sections sections;
    lanes power_scale;
    lanes fast_pa2, slow_pa2, fast_unheard, slow_unheard; /* detector.h, for four bands */
    lanes fast_max_pa2, slow_max_pa2;
    lanes sum_pa2; /* of the counted hops */
    lanes hop_count;
    lanes settled_hop; /* hops before this one are not counted */
};

#define BAND_STAGE_PAST 8 /* frames that (1 - z^-2)^4 reaches back */

struct band_stage {
    double rate_hz;
    size_t hop_frames; /* power of two */
    double fast_keep, slow_keep;
    double hops_done;
    double *frames;  /* the latest BAND_STAGE_PAST ones and room for a piece behind them */
    double *driving; /* a piece through (1 - z^-2)^4 */
    lanes *hop_pa2;  /* mean squares of a piece's hops */
    struct band_group *groups;
    size_t group_count, band_count;
};

bool band_stage_init(struct band_stage *stage, double rate_hz, size_t hop_frames, size_t piece_frames,
                     size_t band_count, struct err *err) MUST_CHECK;
void band_stage_clear(struct band_stage *stage);

/* Puts a filter into the lane of band `index`; readings count from settled_s on. */
void band_stage_set(struct band_stage *stage, size_t index, const struct band_filter *filter, double settled_s);

/* Where the next piece is to be put. It stays there until the one after it. */
double *band_stage_room(struct band_stage *stage);

/* Runs all bands over the pieces in the rooms: frame_count in the first stage's, half as many in each one's after it;
 * hops count for the figures when the piece is used. Frames behind the last whole hop are dropped: nothing may come
 * after them. */
void band_stages_run(struct band_stage *stages, size_t stage_count, size_t frame_count, bool is_used);

#endif
