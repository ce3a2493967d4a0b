/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/spectrum_meter.h"

#include "base/clones.h"
#include "base/fft.h"
#include "base/lanes.h"
#include "base/memory.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define STEP_HZ 0.75
#define AVERAGES 4      /* half overlapped: (AVERAGES + 1) / 2 blocks long */
#define GRAIN_FRAMES 64 /* blocks are a multiple of it times 2^a 3^b 5^c */
#define HANN_ENBW_LINES 1.5

struct spectrum_state {
    struct fft *fft; /* NULL: no block fits. Its signal holds what was fed since the last block, behind half a block */
    double *power_sum;
    size_t block_frames, held_frames, block_count;
    uint64_t preroll_left;
    double sample_rate_hz;
};

size_t spectrum_block_frames(double sample_rate_hz, uint64_t frame_count)
{
    size_t grains = fft_good_size((size_t)ceil(sample_rate_hz / STEP_HZ / GRAIN_FRAMES));
    uint64_t most = frame_count * 2 / (AVERAGES + 1) / GRAIN_FRAMES;
    if (grains > most)
        for (grains = (size_t)most; grains > 2 && fft_good_size(grains) != grains;)
            grains--;
    size_t block = grains * GRAIN_FRAMES > SPECTRUM_SHORTEST_FRAMES ? grains * GRAIN_FRAMES : SPECTRUM_SHORTEST_FRAMES;
    return block <= frame_count ? block : 0;
}

static void spectrum_destroy(void *memory)
{
    struct spectrum_state *state = memory;
    if (!state)
        return;
    fft_free(state->fft);
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
    state->power_sum = memory_new(state->block_frames / 2 + 1, sizeof *state->power_sum);
    if (state->fft && (state->power_sum || err_memory(err)))
        return state;
    spectrum_destroy(state);
    return NULL;
}

/* Hann * lines of LANES values, i.e. half as many lines: X[k] / 2 - (X[k - 1] + X[k + 1]) / 4, here times four. */
static inline __attribute__((always_inline)) void apply_hann(const double *at, lanes *out)
{
    lanes here = *(const lanes *)at, beside = *(const lanes *)(at - 2) + *(const lanes *)(at + 2);
    *out = 2 * here - beside;
}

/* Adds |Hann * lines|^2 of the inner lines. */
WITH_CLONES static void add_powers(const double *lines_of_block, size_t count, double *power_sum)
{
    size_t k = 1;
    for (; k + LANES < count; k += LANES) {
        lanes first, second;
        apply_hann(lines_of_block + 2 * k, &first);
        apply_hann(lines_of_block + 2 * k + LANES, &second);
        lanes real = __builtin_shufflevector(first, second, 0, 2, 4, 6),
              imaginary = __builtin_shufflevector(first, second, 1, 3, 5, 7);
        *(lanes *)(power_sum + k) += real * real + imaginary * imaginary;
    }
    for (; k + 1 < count; k++) {
        const double *at = lines_of_block + 2 * k;
        double real = 2 * at[0] - (at[-2] + at[2]), imaginary = 2 * at[1] - (at[-1] + at[3]);
        power_sum[k] += real * real + imaginary * imaginary;
    }
}

/* The lines beside the first and the last are their mirror images. The transform leaves its signal as it is. */
static void add_block(struct spectrum_state *state)
{
    const size_t block = state->block_frames, last = block / 2;
    const double complex *lines = state->fft->lines;
    fft_forward(state->fft);
    double at_zero = 2 * creal(lines[0]) - 2 * creal(lines[1]),
           at_last = 2 * creal(lines[last]) - 2 * creal(lines[last - 1]);
    state->power_sum[0] += at_zero * at_zero;
    state->power_sum[last] += at_last * at_last;
    add_powers((const double *)lines, last + 1, state->power_sum);
    state->block_count++;
    memcpy(state->fft->signal, state->fft->signal + last, last * sizeof *state->fft->signal);
    state->held_frames = last;
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
        memcpy(state->fft->signal + state->held_frames, pressure_pa, part * sizeof *pressure_pa);
        state->held_frames += part;
        pressure_pa += part;
        frame_count -= part;
        if (state->held_frames == state->block_frames)
            add_block(state);
    }
}

/* A sine of mean square m on a line gives |X|^2 = m block^2 / 8; at 0 Hz and half the rate there is no mirror image,
 * and it is m block^2 / 4. The sums hold 16 |X|^2. */
static bool spectrum_finish(void *memory, struct figures *figures, struct err *err)
{
    struct spectrum_state *state = memory;
    if (state->block_count == 0)
        return true;
    const size_t count = state->block_frames / 2 + 1;
    double *pa2 = memory_new(count, sizeof *pa2);
    if (!pa2)
        return err_memory(err);
    double block = (double)state->block_frames, scale = 0.5 / (block * block * (double)state->block_count);
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
