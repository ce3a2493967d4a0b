/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_AVERAGER_H
#define THRUM_ROTOR_AVERAGER_H

/* The room's second passes over the pressure: blocks that overlap, and an averaged Hann spectrum of them in the scale
 * of meters/figures.h. Memory is a few blocks, whatever the length. */

#include "meters/figures.h"
#include "recording/pressure.h"

#include "base/err.h"
#include "base/fft.h"

#include <stdbool.h>
#include <stddef.h>

/* Something that gives frames in order: *got is 0 at the end. */
struct source {
    bool (*read)(void *state, double *pressure_pa, size_t frame_count, size_t *got, struct err *err);
    void *state;
};

/* The used part from its start; false when it can't be rewound. */
bool source_of_pressure(struct pressure *pressure, struct source *out, struct err *err) MUST_CHECK;

/* Calls use(context, start_frame, block) for every whole block, `hop_frames` apart, until it returns false. */
bool blocks_run(const struct source *source, size_t block_frames, size_t hop_frames,
                bool (*use)(void *context, size_t start_frame, const double *block), void *context,
                struct err *err) MUST_CHECK;

/* Averages blocks. Starts as {0}; the spectrum's pa2 is owned by it until averager_take. */
struct averager {
    struct spectrum spectrum; /* sums while blocks are added */
    struct fft *fft;
    double *window;
    double window_sum;
};

bool averager_init(struct averager *averager, double sample_rate_hz, size_t block_frames, struct err *err) MUST_CHECK;
void averager_clear(struct averager *averager);
void averager_add(struct averager *averager, const double *block);
void averager_restart(struct averager *averager); /* sums back to nothing */

/* Divides by the number of blocks and hands the spectrum over. */
struct spectrum averager_take(struct averager *averager);

/* The averaged spectrum of a source, half overlap; block_count 0 and pa2 NULL where no block fits. */
bool spectrum_of_source(const struct source *source, double sample_rate_hz, size_t block_frames, struct spectrum *out,
                        struct err *err) MUST_CHECK;

#endif
