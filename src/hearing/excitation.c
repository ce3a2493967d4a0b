/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/excitation.h"

#include "base/absent.h"
#include "base/clones.h"
#include "base/memory.h"
#include "base/units.h"
#include "hearing/critical_band.h"
#include "hearing/roughness_curves.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define LOWEST_HZ 20.0
#define HIGHEST_HZ 15500.0
#define SLOPE_DOWN_DB_BARK 27.0

struct line_place { /* what does not change from frame to frame */
    double gain, threshold_pa2;
    double slope_db_bark; /* towards high bark, without its level term */
    size_t from, to;      /* channels whose bark holds the line: [from, to) */
    double down_db;       /* weakening to the channel below them, positive, and as a factor of the amplitude */
    double down_gain;
    double up_bark; /* from the line to the channel above them */
};

struct excitation {
    struct fft *frame;
    struct fft_complex *channel;
    double *window;
    struct line_place *places;
    size_t first_line, line_count; /* lines from first_line on that are in the ear's range */
    double channel_threshold_db[EXCITATION_CHANNEL_COUNT], step_down; /* of the amplitude, half a bark down */
    double complex folded[EXCITATION_CHANNEL_COUNT][ENVELOPE_COUNT];
    bool is_excited[EXCITATION_CHANNEL_COUNT];
};

static double channel_bark(size_t channel)
{
    return 0.5 * (double)(channel + 1);
}

static void blackman(double *window, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        double phase = 2 * PI * (double)i / (double)count;
        window[i] = 0.42 - 0.5 * cos(phase) + 0.08 * cos(2 * phase);
        sum += window[i] * window[i];
    }
    double scale = sqrt((double)count / sum); /* root mean square 1: levels of noise are kept */
    for (size_t i = 0; i < count; i++)
        window[i] *= scale;
}

/* A decibel in neper. */
#define NEPER_DB (2.302585092994045684 / 20)

/* A channel's bark ends half a bark from its middle. */
static void place_channels(struct line_place *place, double bark)
{
    double first = ceil(2 * (bark - 0.5)) - 1, end = floor(2 * (bark + 0.5));
    place->from = first > 0 ? (size_t)first : 0;
    place->to = end < EXCITATION_CHANNEL_COUNT ? (size_t)end : EXCITATION_CHANNEL_COUNT;
    double down_bark = place->from > 0 ? bark - (channel_bark(place->from - 1) + 0.5) : 0;
    place->down_db = SLOPE_DOWN_DB_BARK * down_bark;
    place->down_gain = exp(-place->down_db * NEPER_DB);
    place->up_bark = channel_bark(place->to) - 0.5 - bark;
}

static void place_lines(struct excitation *excitation, double step_hz)
{
    for (size_t i = 0; i < excitation->line_count; i++) {
        struct line_place *place = &excitation->places[i];
        double hz = (double)(excitation->first_line + i) * step_hz;
        double bark = hz_to_bark(hz);
        /* of the amplitude of a one-sided line */
        place->gain = 2 / (double)excitation->frame->size * db_to_amplitude_ratio(roughness_ear_db(bark));
        place->threshold_pa2 = db_to_pa2(roughness_threshold_db(bark));
        place->slope_db_bark = -24 - 230 / hz;
        place_channels(place, bark);
    }
    excitation->step_down = db_to_amplitude_ratio(-SLOPE_DOWN_DB_BARK * 0.5);
    for (size_t c = 0; c < EXCITATION_CHANNEL_COUNT; c++)
        excitation->channel_threshold_db[c] = roughness_threshold_db(channel_bark(c));
}

struct excitation *excitation_new(size_t frame_count, double rate_hz, struct err *err)
{
    struct excitation *excitation = memory_new(1, sizeof *excitation);
    if (!excitation) {
        err_memory(err);
        return NULL;
    }
    double step_hz = rate_hz / (double)frame_count, highest = fmin(HIGHEST_HZ, rate_hz / 2);
    excitation->first_line = (size_t)ceil(LOWEST_HZ / step_hz);
    excitation->line_count = (size_t)floor(highest / step_hz) + 1 - excitation->first_line;
    excitation->frame = fft_new(frame_count, err);
    excitation->channel = excitation->frame ? fft_complex_new(ENVELOPE_COUNT, err) : NULL;
    excitation->window = memory_new(frame_count, sizeof *excitation->window);
    excitation->places = memory_new(excitation->line_count, sizeof *excitation->places);
    if (excitation->channel && excitation->window && excitation->places) {
        blackman(excitation->window, frame_count);
        place_lines(excitation, step_hz);
        return excitation;
    }
    if (excitation->channel)
        err_memory(err);
    excitation_free(excitation);
    return NULL;
}

void excitation_free(struct excitation *excitation)
{
    if (!excitation)
        return;
    fft_free(excitation->frame);
    fft_complex_free(excitation->channel);
    free(excitation->window);
    free(excitation->places);
    free(excitation);
}

static void add_to_channel(struct excitation *excitation, size_t channel, size_t line, double complex value)
{
    excitation->folded[channel][line % ENVELOPE_COUNT] += value;
    excitation->is_excited[channel] = true;
}

static void spread_down(struct excitation *excitation, size_t i, double complex value, double level_db)
{
    const struct line_place *place = &excitation->places[i];
    size_t line = excitation->first_line + i;
    level_db -= place->down_db;
    value *= place->down_gain;
    for (size_t c = place->from; c-- > 0 && level_db > excitation->channel_threshold_db[c];) {
        add_to_channel(excitation, c, line, value);
        level_db -= SLOPE_DOWN_DB_BARK * 0.5;
        value *= excitation->step_down;
    }
}

static void spread_up(struct excitation *excitation, size_t i, double complex value, double level_db)
{
    const struct line_place *place = &excitation->places[i];
    size_t line = excitation->first_line + i, channel = place->to;
    double slope_db_bark = fmin(place->slope_db_bark + 0.2 * level_db, -0.5);
    level_db += slope_db_bark * place->up_bark;
    if (channel >= EXCITATION_CHANNEL_COUNT || !(level_db > excitation->channel_threshold_db[channel]))
        return;
    double step = exp(slope_db_bark * 0.5 * NEPER_DB);
    value *= exp(slope_db_bark * place->up_bark * NEPER_DB);
    for (; channel < EXCITATION_CHANNEL_COUNT && level_db > excitation->channel_threshold_db[channel]; channel++) {
        add_to_channel(excitation, channel, line, value);
        level_db += slope_db_bark * 0.5;
        value *= step;
    }
}

static void spread_line(struct excitation *excitation, size_t i, double complex value, double level_db)
{
    const struct line_place *place = &excitation->places[i];
    for (size_t c = place->from; c < place->to; c++)
        if (level_db > excitation->channel_threshold_db[c])
            add_to_channel(excitation, c, excitation->first_line + i, value);
    spread_down(excitation, i, value, level_db);
    spread_up(excitation, i, value, level_db);
}

void excitation_take(struct excitation *excitation, const double *pressure_pa)
{
    struct fft *frame = excitation->frame;
    for (size_t i = 0; i < frame->size; i++)
        frame->signal[i] = pressure_pa[i] * excitation->window[i];
    fft_forward(frame);
    memset(excitation->folded, 0, sizeof excitation->folded);
    memset(excitation->is_excited, 0, sizeof excitation->is_excited);
    for (size_t i = 0; i < excitation->line_count; i++) {
        double complex value = frame->lines[excitation->first_line + i] * excitation->places[i].gain;
        double mean_square_pa2 = 0.5 * (creal(value) * creal(value) + cimag(value) * cimag(value));
        if (mean_square_pa2 > excitation->places[i].threshold_pa2)
            spread_line(excitation, i, value, pa2_to_db(mean_square_pa2));
    }
}

WITH_CLONES static void magnitudes(const double complex *values, double *out)
{
    for (size_t i = 0; i < ENVELOPE_COUNT; i++)
        out[i] = sqrt(creal(values[i]) * creal(values[i]) + cimag(values[i]) * cimag(values[i]));
}

bool excitation_envelope(struct excitation *excitation, size_t channel, double out[static ENVELOPE_COUNT])
{
    if (!excitation->is_excited[channel])
        return false;
    memcpy(excitation->channel->values, excitation->folded[channel], sizeof excitation->folded[channel]);
    fft_complex_backward(excitation->channel);
    magnitudes(excitation->channel->values, out);
    return true;
}
