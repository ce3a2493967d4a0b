/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/meter_run.h"

#include "base/memory.h"

#include <stdlib.h>

/* Long enough for the F detector (8 time constants) and for a third-octave filter at 20 Hz (4 periods of its
 * bandwidth). */
#define PREROLL_S 1.0

static bool feed_all(const struct meter_kind *const *kinds, void *const *states, size_t count,
                     struct pressure *pressure, double *block, struct err *err)
{
    for (;;) {
        size_t got;
        if (!pressure_read(pressure, block, RECORDING_BLOCK_FRAMES, &got, err))
            return false;
        if (got == 0)
            return true;
        for (size_t i = 0; i < count; i++)
            kinds[i]->feed(states[i], block, got);
    }
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
