/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/chunk.h"

#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

bool chunk_init(struct chunk *chunk, size_t piece_frames, uint64_t preroll_frames,
                void (*process)(void *state, const double *frames, size_t frame_count, bool is_used), void *state,
                struct err *err)
{
    *chunk = (struct chunk){ .frames = memory_new(piece_frames, sizeof *chunk->frames),
                             .piece_frames = piece_frames,
                             .wanted_frames = piece_frames,
                             .preroll_left = preroll_frames,
                             .process = process,
                             .state = state };
    if (preroll_frames % piece_frames > 0)
        chunk->wanted_frames = (size_t)(preroll_frames % piece_frames);
    return chunk->frames ? true : err_memory(err);
}

void chunk_clear(struct chunk *chunk)
{
    free(chunk->frames);
    *chunk = (struct chunk){ 0 };
}

static void hand_over(struct chunk *chunk, const double *frames, size_t frame_count)
{
    bool is_used = chunk->preroll_left == 0;
    chunk->process(chunk->state, frames, frame_count, is_used);
    if (!is_used)
        chunk->preroll_left -= frame_count;
    chunk->wanted_frames = chunk->piece_frames;
}

void chunk_feed(struct chunk *chunk, const double *frames, size_t frame_count)
{
    while (frame_count > 0) {
        size_t wanted = chunk->wanted_frames;
        if (chunk->held_frames == 0 && frame_count >= wanted) {
            hand_over(chunk, frames, wanted);
            frames += wanted;
            frame_count -= wanted;
            continue;
        }
        size_t part = wanted - chunk->held_frames;
        if (part > frame_count)
            part = frame_count;
        memcpy(chunk->frames + chunk->held_frames, frames, part * sizeof *frames);
        chunk->held_frames += part;
        frames += part;
        frame_count -= part;
        if (chunk->held_frames == wanted) {
            chunk->held_frames = 0;
            hand_over(chunk, chunk->frames, wanted);
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
