/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/averager.h"

#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

static bool read_pressure(void *state, double *pressure_pa, size_t frame_count, size_t *got, struct err *err)
{
    return pressure_read(state, pressure_pa, frame_count, got, err);
}

bool source_of_pressure(struct pressure *pressure, struct source *out, struct err *err)
{
    *out = (struct source){ read_pressure, pressure };
    return pressure_rewind(pressure, NULL, err);
}

/* Reads until `frame_count` frames are there or the source ends. */
static bool fill(const struct source *source, double *into, size_t frame_count, size_t *filled, struct err *err)
{
    size_t got = 1;
    for (*filled = 0; *filled < frame_count && got > 0; *filled += got)
        if (!source->read(source->state, into + *filled, frame_count - *filled, &got, err))
            return false;
    return true;
}

bool blocks_run(const struct source *source, size_t block_frames, size_t hop_frames,
                bool (*use)(void *context, size_t start_frame, const double *block), void *context, struct err *err)
{
    double *block = memory_new(block_frames, sizeof *block);
    if (!block)
        return err_memory(err);
    size_t start = 0, filled = 0;
    bool is_ok = fill(source, block, block_frames, &filled, err);
    while (is_ok && filled == block_frames && use(context, start, block)) {
        memmove(block, block + hop_frames, (block_frames - hop_frames) * sizeof *block);
        is_ok = fill(source, block + block_frames - hop_frames, hop_frames, &filled, err);
        filled += block_frames - hop_frames;
        start += hop_frames;
    }
    free(block);
    return is_ok;
}

bool averager_init(struct averager *averager, double sample_rate_hz, size_t block_frames, struct err *err)
{
    *averager = (struct averager){ 0 };
    averager->fft = fft_new(block_frames, err);
    if (!averager->fft)
        return false;
    averager->window = memory_new(block_frames, sizeof *averager->window);
    averager->spectrum.pa2 = memory_new(averager->fft->line_count, sizeof *averager->spectrum.pa2);
    if (!averager->window || !averager->spectrum.pa2) {
        averager_clear(averager);
        return err_memory(err);
    }
    fft_hann(averager->window, block_frames);
    double squares = 0;
    for (size_t i = 0; i < block_frames; i++) {
        averager->window_sum += averager->window[i];
        squares += averager->window[i] * averager->window[i];
    }
    struct spectrum *spectrum = &averager->spectrum;
    spectrum->step_hz = sample_rate_hz / (double)block_frames;
    spectrum->sample_rate_hz = sample_rate_hz;
    spectrum->enbw_lines = (double)block_frames * squares / (averager->window_sum * averager->window_sum);
    spectrum->block_frames = block_frames;
    spectrum->count = averager->fft->line_count;
    return true;
}

void averager_clear(struct averager *averager)
{
    fft_free(averager->fft);
    free(averager->window);
    free(averager->spectrum.pa2);
    *averager = (struct averager){ 0 };
}

void averager_restart(struct averager *averager)
{
    memset(averager->spectrum.pa2, 0, averager->spectrum.count * sizeof *averager->spectrum.pa2);
    averager->spectrum.block_count = 0;
}

void averager_add(struct averager *averager, const double *block)
{
    struct fft *fft = averager->fft;
    struct spectrum *spectrum = &averager->spectrum;
    for (size_t i = 0; i < fft->size; i++)
        fft->signal[i] = averager->window[i] * block[i];
    fft_forward(fft);
    double scale = 1 / (averager->window_sum * averager->window_sum);
    for (size_t k = 0; k < spectrum->count; k++) {
        double real = creal(fft->lines[k]), imaginary = cimag(fft->lines[k]);
        bool is_single = k == 0 || 2 * k == fft->size;
        spectrum->pa2[k] += (is_single ? 1 : 2) * scale * (real * real + imaginary * imaginary);
    }
    spectrum->block_count++;
}

struct spectrum averager_take(struct averager *averager)
{
    struct spectrum spectrum = averager->spectrum;
    for (size_t k = 0; k < spectrum.count && spectrum.block_count > 0; k++)
        spectrum.pa2[k] /= (double)spectrum.block_count;
    averager->spectrum.pa2 = NULL;
    averager->spectrum.count = 0;
    return spectrum;
}

static bool add_block(void *context, size_t start_frame, const double *block)
{
    (void)start_frame;
    averager_add(context, block);
    return true;
}

bool spectrum_of_source(const struct source *source, double sample_rate_hz, size_t block_frames, struct spectrum *out,
                        struct err *err)
{
    struct averager averager;
    *out = (struct spectrum){ 0 };
    if (!averager_init(&averager, sample_rate_hz, block_frames, err))
        return false;
    bool is_ok = blocks_run(source, block_frames, block_frames / 2, add_block, &averager, err);
    if (is_ok && averager.spectrum.block_count > 0)
        *out = averager_take(&averager);
    averager_clear(&averager);
    return is_ok;
}
