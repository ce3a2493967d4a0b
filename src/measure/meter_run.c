/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/meter_run.h"

#include "base/memory.h"

#include <stdlib.h>

/* Long enough for the F detector (8 time constants) and for a third-octave filter at 20 Hz (4 periods of its
 * bandwidth). */
#define PREROLL_S 1.0

/* The first block is as long as lets another start with the used part: meters that cut it in pieces of their own then
 * find most of them whole in a block. */
static bool feed_all(const struct meter_kind *const *kinds, void *const *states, size_t count,
                     struct pressure *pressure, double *block, struct err *err)
{
    const size_t first = (size_t)(pressure->preroll_left % RECORDING_BLOCK_FRAMES);
    size_t got, wanted = first > 0 ? first : RECORDING_BLOCK_FRAMES;
    do {
        if (!pressure_read(pressure, block, wanted, &got, err))
            return false;
        for (size_t i = 0; i < count && got > 0; i++)
            kinds[i]->feed(states[i], block, got);
        wanted = RECORDING_BLOCK_FRAMES;
    } while (got > 0);
    return true;
}

bool meter_run(const struct meter_kind *const *kinds, size_t count, const struct meter_setup *setup,
               struct pressure *pressure, struct figures *figures, struct err *err)
{
    struct meter_setup full = *setup;
    full.sample_rate_hz = pressure->sample_rate_hz;
    full.frame_count = pressure->frame_count;
    full.preroll_frames = (uint64_t)(PREROLL_S * pressure->sample_rate_hz);
    if (!pressure_rewind(pressure, &full.preroll_frames, err))
        return false;
    void **states = memory_new(count, sizeof *states);
    double *block = memory_new(RECORDING_BLOCK_FRAMES, sizeof *block);
    bool ok = (states && block) || err_memory(err);
    for (size_t i = 0; ok && i < count; i++)
        ok = (states[i] = kinds[i]->create(&full, err)) != NULL;
    ok = ok && feed_all(kinds, states, count, pressure, block, err);
    for (size_t i = 0; ok && i < count; i++)
        ok = kinds[i]->finish(states[i], figures, err);
    for (size_t i = 0; states && i < count; i++)
        kinds[i]->destroy(states[i]);
    free(states);
    free(block);
    return ok;
}
