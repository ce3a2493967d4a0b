/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/spectrum_meter.h"

#include "base/fft.h"
#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

#define WIDEST_STEP_HZ 1.0
#define AVERAGES 4 /* half overlapped: (AVERAGES + 1) / 2 blocks long */
#define HANN_ENBW_LINES 1.5

struct spectrum_state {
    struct fft *fft; /* NULL: no block fits */
    double *window, *held, *power_sum;
    size_t block_frames, held_frames, block_count;
    uint64_t preroll_left;
    double sample_rate_hz;
};

size_t spectrum_block_frames(double sample_rate_hz, uint64_t frame_count)
{
    size_t block = SPECTRUM_SHORTEST_FRAMES;
    while (sample_rate_hz / (double)block > WIDEST_STEP_HZ)
        block *= 2;
    while (block > SPECTRUM_SHORTEST_FRAMES && (AVERAGES + 1) * (uint64_t)(block / 2) > frame_count)
        block /= 2;
    return block <= frame_count ? block : 0;
}

static void spectrum_destroy(void *memory)
{
    struct spectrum_state *state = memory;
    if (!state)
        return;
    fft_free(state->fft);
    free(state->window);
    free(state->held);
    free(state->power_sum);
    free(state);
}

static void *spectrum_create(const struct meter_setup *setup, struct err *err)
{
    struct spectrum_state *state = memory_new(1, sizeof *state);
    if (!state) {
        err_memory(err);
        return NULL;
    }
    state->sample_rate_hz = setup->sample_rate_hz;
    state->preroll_left = setup->preroll_frames;
    state->block_frames = spectrum_block_frames(setup->sample_rate_hz, setup->frame_count);
    if (state->block_frames == 0)
        return state;
    state->fft = fft_new(state->block_frames, err);
    state->window = memory_new(state->block_frames, sizeof *state->window);
    state->held = memory_new(state->block_frames, sizeof *state->held);
    state->power_sum = memory_new(state->block_frames / 2 + 1, sizeof *state->power_sum);
    if (!state->fft || !state->window || !state->held || !state->power_sum) {
        spectrum_destroy(state);
        err_memory(err);
        return NULL;
    }
    fft_hann(state->window, state->block_frames);
    return state;
}

static void add_block(struct spectrum_state *state)
{
    const size_t block = state->block_frames;
    double *signal = state->fft->signal;
    for (size_t i = 0; i < block; i++)
        signal[i] = state->window[i] * state->held[i];
    fft_forward(state->fft);
    const double complex *lines = state->fft->lines;
    for (size_t k = 0; k <= block / 2; k++)
        state->power_sum[k] += creal(lines[k]) * creal(lines[k]) + cimag(lines[k]) * cimag(lines[k]);
    state->block_count++;
    memmove(state->held, state->held + block / 2, block / 2 * sizeof *state->held);
    state->held_frames = block / 2;
}

static void spectrum_feed(void *memory, const double *pressure_pa, size_t frame_count)
{
    struct spectrum_state *state = memory;
    if (!state->fft)
        return;
    if (state->preroll_left > 0) {
        size_t skip = frame_count < state->preroll_left ? frame_count : (size_t)state->preroll_left;
        state->preroll_left -= skip;
        pressure_pa += skip;
        frame_count -= skip;
    }
    while (frame_count > 0) {
        size_t part = state->block_frames - state->held_frames;
        if (part > frame_count)
            part = frame_count;
        memcpy(state->held + state->held_frames, pressure_pa, part * sizeof *pressure_pa);
        state->held_frames += part;
        pressure_pa += part;
        frame_count -= part;
        if (state->held_frames == state->block_frames)
            add_block(state);
    }
}

/* A sine of mean square m on a line gives |X|^2 = m block^2 / 8; at 0 Hz and half the rate there is no mirror image,
 * and it is m block^2 / 4. */
static bool spectrum_finish(void *memory, struct figures *figures, struct err *err)
{
    struct spectrum_state *state = memory;
    if (state->block_count == 0)
        return true;
    const size_t count = state->block_frames / 2 + 1;
    double *pa2 = memory_new(count, sizeof *pa2);
    if (!pa2)
        return err_memory(err);
    double block = (double)state->block_frames, scale = 8 / (block * block * (double)state->block_count);
    for (size_t k = 0; k < count; k++)
        pa2[k] = scale * state->power_sum[k];
    pa2[0] *= 0.5;
    pa2[count - 1] *= 0.5;
    free(figures->spectrum.pa2);
    figures->spectrum = (struct spectrum){ .step_hz = state->sample_rate_hz / block,
                                           .sample_rate_hz = state->sample_rate_hz,
                                           .enbw_lines = HANN_ENBW_LINES,
                                           .block_frames = state->block_frames,
                                           .block_count = state->block_count,
                                           .pa2 = pa2,
                                           .count = count };
    return true;
}

const struct meter_kind spectrum_meter = { .name = "spectrum",
                                           .create = spectrum_create,
                                           .feed = spectrum_feed,
                                           .finish = spectrum_finish,
                                           .destroy = spectrum_destroy };
