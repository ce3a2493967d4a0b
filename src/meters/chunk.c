/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/chunk.h"

#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

bool chunk_init(struct chunk *chunk, size_t piece_frames, uint64_t preroll_frames,
                void (*process)(void *state, const double *frames, size_t frame_count, bool is_used), void *state,
                struct err *err)
{
    size_t beyond = (size_t)(preroll_frames % piece_frames), lead = beyond > 0 ? piece_frames - beyond : 0;
    *chunk = (struct chunk){ .frames = memory_new(piece_frames, sizeof *chunk->frames),
                             .piece_frames = piece_frames,
                             .lead_frames = lead,
                             .unused_left = preroll_frames + lead,
                             .process = process,
                             .state = state };
    return chunk->frames ? true : err_memory(err);
}

void chunk_clear(struct chunk *chunk)
{
    free(chunk->frames);
    *chunk = (struct chunk){ 0 };
}

static void hand_over(struct chunk *chunk, const double *frames, size_t frame_count)
{
    bool is_used = chunk->unused_left == 0;
    chunk->process(chunk->state, frames, frame_count, is_used);
    if (!is_used)
        chunk->unused_left -= frame_count;
}

static void start(struct chunk *chunk, double first)
{
    chunk->is_started = true;
    chunk->held_frames = chunk->lead_frames;
    for (size_t i = 0; i < chunk->lead_frames; i++)
        chunk->frames[i] = first;
}

void chunk_feed(struct chunk *chunk, const double *frames, size_t frame_count)
{
    const size_t piece = chunk->piece_frames;
    if (frame_count > 0 && !chunk->is_started)
        start(chunk, frames[0]);
    while (frame_count > 0) {
        size_t part = piece - chunk->held_frames < frame_count ? piece - chunk->held_frames : frame_count;
        if (part == piece) {
            hand_over(chunk, frames, piece);
        } else {
            memcpy(chunk->frames + chunk->held_frames, frames, part * sizeof *frames);
            chunk->held_frames += part;
        }
        frames += part;
        frame_count -= part;
        if (chunk->held_frames == piece) {
            chunk->held_frames = 0;
            hand_over(chunk, chunk->frames, piece);
        }
    }
}

void chunk_flush(struct chunk *chunk)
{
    size_t held = chunk->held_frames;
    chunk->held_frames = 0;
    if (held > 0)
        hand_over(chunk, chunk->frames, held);
}
