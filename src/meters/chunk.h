/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_CHUNK_H
#define THRUM_METERS_CHUNK_H

/* Cuts whatever a meter is fed into pieces of a fixed length that start at the first frame of the used part, so that a
 * meter's bits do not depend on how long the blocks were that it was fed. The first piece begins before the preroll
 * where that is no multiple of pieces, with its first value, as if the signal had stood there before. Only the last
 * piece may be shorter. Owned by its meter. */

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct chunk {
    double *frames;                                /* piece_frames of room */
    size_t piece_frames, held_frames, lead_frames; /* lead: those before the first frame that is fed */
    uint64_t unused_left;                          /* frames before the used part that are still to be handed over */
    bool is_started;
    void (*process)(void *state, const double *frames, size_t frame_count, bool is_used);
    void *state;
};

bool chunk_init(struct chunk *chunk, size_t piece_frames, uint64_t preroll_frames,
                void (*process)(void *state, const double *frames, size_t frame_count, bool is_used), void *state,
                struct err *err) MUST_CHECK;
void chunk_clear(struct chunk *chunk);
void chunk_feed(struct chunk *chunk, const double *frames, size_t frame_count);
void chunk_flush(struct chunk *chunk); /* what is held, as a last piece */

#endif
