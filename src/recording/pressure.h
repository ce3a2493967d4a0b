/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_PRESSURE_H
#define THRUM_RECORDING_PRESSURE_H

/* The sound pressure of the used part of one channel, in pascals, block by block; can be read again from its start by a
 * stage that needs a second pass (order spectrum, envelope). Borrows the recording. */

#include "recording/recording.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct pressure {
    struct recording *recording; /* borrowed */
    int channel;
    double pa_per_full_scale;
    double sample_rate_hz;
    uint64_t first_frame, frame_count; /* the used part */
    uint64_t next_frame;               /* within the used part */
    uint64_t preroll_left;             /* frames before the used part that come first */
};

/* The used part [start_s, end_s) of a survey as frames of `recording`, clamped to what it holds; not yet rewound. */
struct pressure pressure_of(struct recording *recording, int channel, double pa_per_full_scale, double start_s,
                            double end_s);

/* Back to the start of the used part, or `preroll_frames` before it (those frames come first; clamped to what the file
 * has, *preroll_frames then tells how many). NULL for none. */
bool pressure_rewind(struct pressure *pressure, uint64_t *preroll_frames, struct err *err) MUST_CHECK;

/* Up to `frame_count` frames of pressure_pa; *got is 0 at the end of the used part. */
bool pressure_read(struct pressure *pressure, double *pressure_pa, size_t frame_count, size_t *got,
                   struct err *err) MUST_CHECK;

#endif
