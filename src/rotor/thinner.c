/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/thinner.h"

#include "base/memory.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PIECE_FRAMES ((size_t)8192)        /* a multiple of 2^THINNER_HALVINGS_MOST */
#define WHOLE_UP_TO 0.3                    /* of a halved rate */
#define DELAY_FRAMES (2 * DECIMATOR_PAIRS) /* of a decimator, at its input's rate: value i is about frame 2 i - 16 */

/* One piece through all decimators; at the end of the source it may be shorter, and empty behind it. */
static bool next_piece(struct thinner *thinner, struct err *err)
{
    double *from = thinner->work[0], *to = thinner->work[1];
    size_t filled = 0, got = 1;
    while (filled < PIECE_FRAMES && got > 0) {
        if (!thinner->from.read(thinner->from.state, from + filled, PIECE_FRAMES - filled, &got, err))
            return false;
        filled += got;
    }
    filled -= filled % ((size_t)1 << thinner->halving_count);
    for (size_t i = 0; i < thinner->halving_count && filled > 0; i++) {
        decimator_run(&thinner->decimators[i], from, filled, to);
        filled /= 2;
        double *swap = from;
        from = to;
        to = swap;
    }
    thinner->ready = from;
    thinner->ready_count = filled;
    return true;
}

static bool read_thinned(void *state, double *pressure_pa, size_t frame_count, size_t *got, struct err *err)
{
    struct thinner *thinner = state;
    if (thinner->ready_count == 0 && !next_piece(thinner, err))
        return false;
    *got = frame_count < thinner->ready_count ? frame_count : thinner->ready_count;
    if (*got > 0)
        memcpy(pressure_pa, thinner->ready, *got * sizeof *pressure_pa);
    thinner->ready += *got;
    thinner->ready_count -= *got;
    return true;
}

bool thinner_open(struct thinner *thinner, struct pressure *pressure, double highest_hz, struct err *err)
{
    *thinner = (struct thinner){ .source = { read_thinned, thinner }, .sample_rate_hz = pressure->sample_rate_hz };
    while (thinner->halving_count < THINNER_HALVINGS_MOST && highest_hz <= WHOLE_UP_TO * thinner->sample_rate_hz / 2) {
        thinner->delay_s += (double)DELAY_FRAMES / thinner->sample_rate_hz;
        thinner->sample_rate_hz /= 2;
        thinner->halving_count++;
    }
    bool is_fine = true;
    for (size_t i = 0; i < 2; i++) {
        thinner->work[i] = memory_new(PIECE_FRAMES, sizeof *thinner->work[i]);
        is_fine = is_fine && thinner->work[i];
    }
    for (size_t i = 0; i < thinner->halving_count; i++) {
        for (size_t k = 0; k < 2; k++) {
            thinner->half[i][k] = memory_new(DECIMATOR_MARGIN + (PIECE_FRAMES >> (i + 1)), sizeof(double));
            is_fine = is_fine && thinner->half[i][k];
        }
        decimator_init(&thinner->decimators[i], thinner->half[i][0], thinner->half[i][1]);
    }
    return is_fine ? source_of_pressure(pressure, &thinner->from, err) : err_memory(err);
}

void thinner_clear(struct thinner *thinner)
{
    for (size_t i = 0; i < THINNER_HALVINGS_MOST; i++) {
        free(thinner->half[i][0]);
        free(thinner->half[i][1]);
    }
    free(thinner->work[0]);
    free(thinner->work[1]);
    *thinner = (struct thinner){ 0 };
}
