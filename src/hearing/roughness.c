/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/roughness.h"

#include "base/absent.h"
#include "base/fft.h"
#include "base/memory.h"
#include "hearing/excitation.h"
#include "hearing/modulation.h"
#include "hearing/roughness_curves.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define HIGHEST_MODULATION_HZ 645.0 /* no weight beyond */
#define MODULATION_MOST_LINES 140
/* Makes the reference sound 1 asper; held to it by tests/hearing/roughness.c. */
#define CALIBRATION_ASPER 0.2125

struct roughness {
    bool is_measuring;
    size_t frame_size, fill;
    double hop; /* from the start of a frame to the next, samples; at least frame_size */
    uint64_t preroll_frames, fed_frames, frame_count;
    double *frame;
    struct excitation *excitation;
    struct fft *envelope_fft;
    size_t line_count; /* of modulation */
    double weight[EXCITATION_CHANNEL_COUNT][MODULATION_MOST_LINES];
    double carrier_weight[EXCITATION_CHANNEL_COUNT];
    double complex line[EXCITATION_CHANNEL_COUNT][MODULATION_MOST_LINES];
    struct modulation modulation[EXCITATION_CHANNEL_COUNT];
    double depth[EXCITATION_CHANNEL_COUNT];
    double sum_asper;
};

static void roughness_destroy(void *state)
{
    struct roughness *roughness = state;
    if (!roughness)
        return;
    excitation_free(roughness->excitation);
    fft_free(roughness->envelope_fft);
    free(roughness->frame);
    free(roughness);
}

static void weigh(struct roughness *roughness, double rate_hz)
{
    double step_hz = rate_hz / (double)roughness->frame_size;
    roughness->line_count = (size_t)fmin(floor(HIGHEST_MODULATION_HZ / step_hz) + 1, MODULATION_MOST_LINES);
    for (size_t c = 0; c < EXCITATION_CHANNEL_COUNT; c++) {
        roughness->carrier_weight[c] = roughness_carrier_weight(0.5 * (double)(c + 1));
        for (size_t k = 0; k < roughness->line_count; k++)
            roughness->weight[c][k] = roughness_modulation_weight((int)c + 1, (double)k * step_hz);
    }
}

static void *roughness_create(const struct meter_setup *setup, struct err *err)
{
    struct roughness *roughness = memory_new(1, sizeof *roughness);
    if (!roughness) {
        err_memory(err);
        return NULL;
    }
    roughness->is_measuring = setup->is_absolute;
    if (!roughness->is_measuring)
        return roughness;
    roughness->frame_size = 2 * (size_t)llround(ROUGHNESS_FRAME_S * setup->sample_rate_hz / 2);
    roughness->hop = fmax((double)roughness->frame_size, (double)setup->frame_count / ROUGHNESS_MOST_FRAMES);
    roughness->preroll_frames = setup->preroll_frames;
    roughness->frame = memory_new(roughness->frame_size, sizeof *roughness->frame);
    if (!roughness->frame) {
        err_memory(err);
        roughness_destroy(roughness);
        return NULL;
    }
    roughness->excitation = excitation_new(roughness->frame_size, setup->sample_rate_hz, err);
    roughness->envelope_fft = roughness->excitation ? fft_new(ENVELOPE_COUNT, err) : NULL;
    if (!roughness->envelope_fft) {
        roughness_destroy(roughness);
        return NULL;
    }
    weigh(roughness, setup->sample_rate_hz);
    return roughness;
}

/* Modulation of one channel: its weighted lines, their power (of the signal that they make), and its depth, the root
 * mean square of that signal over the mean of the envelope, 1 at most. */
static void take_channel(struct roughness *roughness, size_t c)
{
    struct fft *fft = roughness->envelope_fft;
    roughness->modulation[c] = (struct modulation){ .power = 0 };
    roughness->depth[c] = 0;
    if (!excitation_envelope(roughness->excitation, c, fft->signal))
        return;
    fft_forward(fft);
    double mean = creal(fft->lines[0]) / ENVELOPE_COUNT;
    for (size_t k = 1; k < roughness->line_count; k++)
        roughness->line[c][k] = fft->lines[k] * (roughness->weight[c][k] / ENVELOPE_COUNT);
    roughness->modulation[c] = modulation_of(roughness->line[c], roughness->line_count);
    if (mean > 0)
        roughness->depth[c] = fmin(sqrt(roughness->modulation[c].power) / mean, 1);
}

static double frame_asper(struct roughness *roughness)
{
    double link[EXCITATION_CHANNEL_COUNT], sum = 0; /* link[c]: correlation of c and c + 2 */
    excitation_take(roughness->excitation, roughness->frame);
    for (size_t c = 0; c < EXCITATION_CHANNEL_COUNT; c++)
        take_channel(roughness, c);
    for (size_t c = 0; c + 2 < EXCITATION_CHANNEL_COUNT; c++)
        link[c] =
            modulation_correlation(&roughness->modulation[c], &roughness->modulation[c + 2], roughness->line_count);
    for (size_t c = 0; c < EXCITATION_CHANNEL_COUNT; c++) {
        double below = c >= 2 ? link[c - 2] : 1, above = c + 2 < EXCITATION_CHANNEL_COUNT ? link[c] : 1;
        double linked = roughness->depth[c] * below * above;
        sum += roughness->carrier_weight[c] * linked * linked;
    }
    return CALIBRATION_ASPER * sum;
}

static void roughness_feed(void *state, const double *pressure_pa, size_t frame_count)
{
    struct roughness *roughness = state;
    if (!roughness->is_measuring)
        return;
    while (frame_count > 0) {
        uint64_t start = roughness->preroll_frames + (uint64_t)((double)roughness->frame_count * roughness->hop);
        uint64_t due = start + roughness->fill; /* the next sample of the frame */
        if (due >= roughness->fed_frames + frame_count) {
            roughness->fed_frames += frame_count;
            return;
        }
        size_t skipped = (size_t)(due - roughness->fed_frames);
        size_t room = roughness->frame_size - roughness->fill;
        size_t taken = frame_count - skipped < room ? frame_count - skipped : room;
        memcpy(roughness->frame + roughness->fill, pressure_pa + skipped, taken * sizeof *pressure_pa);
        roughness->fill += taken;
        roughness->fed_frames += skipped + taken;
        pressure_pa += skipped + taken;
        frame_count -= skipped + taken;
        if (roughness->fill == roughness->frame_size) {
            roughness->sum_asper += frame_asper(roughness);
            roughness->frame_count++;
            roughness->fill = 0;
        }
    }
}

static bool roughness_finish(void *state, struct figures *figures, struct err *err)
{
    const struct roughness *roughness = state;
    (void)err;
    if (roughness->is_measuring && roughness->frame_count > 0)
        figures->hearing.roughness_asper = roughness->sum_asper / (double)roughness->frame_count;
    return true;
}

const struct meter_kind roughness_meter = { "roughness", roughness_create, roughness_feed, roughness_finish,
                                            roughness_destroy };
