/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/envelope.h"

#include "base/absent.h"
#include "base/memory.h"
#include "rotor/averager.h"
#include "rotor/floor.h"
#include "rotor/speed.h"
#include "rotor/tone.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { BANDS_MOST = 24, KURTOSIS_BLOCKS = 12, MULTIPLES = 4, MULTIPLES_LEAST = 2 };

#define WANTED_STEP_HZ 1.0
#define LEAST_HEIGHT_DB 9.0 /* of a part's first line; common practice, no source */
#define STEADY_SHARE 0.004  /* multiples of one part share its slip within this */
#define ORDER_SHARE 0.004   /* a line this near a whole order of the shaft is the shaft's */
#define ORDERS_MOST 40

struct band_lines {
    size_t first, count; /* of the block's spectrum */
    double kurtosis_sum;
};

struct listening {
    struct fft *block;
    struct fft_complex *band; /* of the size in use */
    struct band_lines bands[BANDS_MOST];
    size_t band_count, block_count;
    const struct band_lines *chosen;
    struct averager averager;
    double *envelope;
    struct err *err;
    bool failed;
};

static bool resize(struct listening *listening, size_t size)
{
    if (listening->band && listening->band->size == size)
        return true;
    fft_complex_free(listening->band);
    listening->band = fft_complex_new(size, listening->err);
    listening->failed = !listening->band;
    return listening->band != NULL;
}

/* The band's analytic signal, shifted to 0 Hz, from the block's lines. */
static bool analytic(struct listening *listening, const struct band_lines *band)
{
    if (!resize(listening, band->count))
        return false;
    for (size_t k = 0; k < band->count; k++)
        listening->band->values[k] = listening->block->lines[band->first + k];
    fft_complex_backward(listening->band);
    return true;
}

static double squared(const struct listening *listening, size_t i)
{
    double real = creal(listening->band->values[i]), imaginary = cimag(listening->band->values[i]);
    return real * real + imaginary * imaginary;
}

static void transform(struct listening *listening, const double *block)
{
    for (size_t i = 0; i < listening->block->size; i++)
        listening->block->signal[i] = block[i];
    fft_forward(listening->block);
}

static bool weigh_bands(void *context, size_t start_frame, const double *block)
{
    struct listening *listening = context;
    (void)start_frame;
    transform(listening, block);
    for (size_t b = 0; b < listening->band_count; b++) {
        if (!analytic(listening, &listening->bands[b]))
            return false;
        double second = 0, fourth = 0;
        /* The block is not windowed: its ends, where the transform wraps around, are left out. */
        size_t count = listening->bands[b].count, edge = count / 32;
        for (size_t i = edge; i < count - edge; i++) {
            double power = squared(listening, i);
            second += power;
            fourth += power * power;
        }
        if (second > 0)
            listening->bands[b].kurtosis_sum += fourth * (double)(count - 2 * edge) / (second * second) - 2;
    }
    return ++listening->block_count < KURTOSIS_BLOCKS;
}

static bool add_envelope(void *context, size_t start_frame, const double *block)
{
    struct listening *listening = context;
    (void)start_frame;
    transform(listening, block);
    if (!analytic(listening, listening->chosen))
        return false;
    size_t count = listening->chosen->count;
    double mean = 0;
    for (size_t i = 0; i < count; i++) {
        listening->envelope[i] = squared(listening, i);
        mean += listening->envelope[i] / (double)count;
    }
    for (size_t i = 0; i < count; i++)
        listening->envelope[i] = mean > 0 ? listening->envelope[i] / mean - 1 : 0;
    averager_add(&listening->averager, listening->envelope);
    return true;
}

static void list_bands(struct listening *listening, double step_hz)
{
    size_t lines = listening->block->line_count - 1;
    for (size_t parts = 4; parts <= 8; parts *= 2)
        for (size_t i = 0; i < parts; i++) {
            struct band_lines band = { .first = i * lines / parts, .count = lines / parts };
            band.count -= band.count % 2;
            if ((double)band.first * step_hz >= ENVELOPE_LOWEST_HZ)
                listening->bands[listening->band_count++] = band;
        }
}

static void choose_band(struct listening *listening)
{
    listening->chosen = &listening->bands[0];
    for (size_t b = 1; b < listening->band_count; b++)
        if (listening->bands[b].kurtosis_sum > listening->chosen->kurtosis_sum)
            listening->chosen = &listening->bands[b];
}

static size_t block_frames(const struct pressure *pressure)
{
    size_t block = 1024;
    while (pressure->sample_rate_hz / (double)block > WANTED_STEP_HZ && 2 * block <= pressure->frame_count)
        block *= 2;
    return block <= pressure->frame_count ? block : 0;
}

/* Fills the averager with the envelope's spectrum of the chosen band. */
static bool listen(struct listening *listening, struct pressure *pressure, size_t frames, struct err *err)
{
    struct source source;
    double step_hz = pressure->sample_rate_hz / (double)frames;
    listening->block = fft_new(frames, err);
    if (!listening->block)
        return false;
    list_bands(listening, step_hz);
    if (listening->band_count == 0)
        return true;
    if (!source_of_pressure(pressure, &source, err) ||
        !blocks_run(&source, frames, frames / 2, weigh_bands, listening, err) || listening->failed)
        return false;
    choose_band(listening);
    size_t count = listening->chosen->count;
    listening->envelope = memory_new(count, sizeof *listening->envelope);
    if (!listening->envelope)
        return err_memory(err);
    return averager_init(&listening->averager, (double)count * step_hz, count, err) &&
           source_of_pressure(pressure, &source, err) &&
           blocks_run(&source, frames, frames / 2, add_envelope, listening, err) && !listening->failed;
}

static bool is_shaft_order(const struct envelope_question *question, double hz, double step_hz)
{
    double order = hz / question->shaft_hz, whole = round(order);
    return whole >= 1 && whole <= ORDERS_MOST &&
           fabs(order - whole) * question->shaft_hz < ORDER_SHARE * hz + 0.5 * step_hz;
}

/* Looks for the part of `line` (its first line) around each tone that its slip allows. */
static bool hear_part(const struct envelope_question *question, const struct line *line, const struct tone *tones,
                      size_t count, double step_hz, struct envelope_heard *out)
{
    double reach_hz = line->hz * (line->own_tolerance_pct + question->shaft_tolerance_pct) / 100 + 0.5 * step_hz;
    *out = (struct envelope_heard){ .height_db = 0 };
    for (size_t i = 0; i < count; i++) {
        const struct tone *tone = &tones[i];
        if (fabs(tone->hz - line->hz) > reach_hz || tone->line_ratio_db < LEAST_HEIGHT_DB ||
            is_shaft_order(question, tone->hz, step_hz))
            continue;
        int multiples = 1;
        for (int number = 2; number <= MULTIPLES; number++) {
            double hz = number * tone->hz;
            multiples += tone_nearest(tones, count, hz, STEADY_SHARE * hz + 0.5 * step_hz) != NULL;
        }
        if (multiples < MULTIPLES_LEAST || tone->line_ratio_db <= out->height_db)
            continue;
        *out = (struct envelope_heard){ .family = line->family,
                                        .part = line->part,
                                        .hz = tone->hz,
                                        .expected_hz = line->hz,
                                        .height_db = tone->line_ratio_db,
                                        .multiples = multiples };
        snprintf(out->source, sizeof out->source, "%s", line->source);
    }
    return out->height_db > 0;
}

static void insert(struct envelope_report *report, const struct envelope_heard *heard)
{
    size_t at = report->heard_count;
    while (at > 0 && report->heard[at - 1].height_db < heard->height_db)
        at--;
    if (at >= ENVELOPE_HEARD_MAX)
        return;
    size_t last = report->heard_count < ENVELOPE_HEARD_MAX ? report->heard_count : ENVELOPE_HEARD_MAX - 1;
    for (size_t i = last; i > at; i--)
        report->heard[i] = report->heard[i - 1];
    report->heard[at] = *heard;
    report->heard_count = last + 1;
}

static bool judge(const struct envelope_question *question, const struct spectrum *spectrum,
                  struct envelope_report *out, struct err *err)
{
    struct tone *tones = NULL;
    size_t count = 0;
    double *noise_pa2 = memory_new(spectrum->count, sizeof *noise_pa2);
    bool is_ok = noise_pa2 ? true : err_memory(err);
    is_ok = is_ok && floor_estimate(spectrum, noise_pa2, err) &&
            tones_find(spectrum, noise_pa2, TONE_CHANCE, &tones, &count, err);
    for (size_t i = 0; is_ok && i < question->lines->count; i++) {
        const struct line *line = &question->lines->items[i];
        struct envelope_heard heard;
        if (line->number == 1 && (line->family == LINE_BEARING || line->family == LINE_BELT_TURN) &&
            hear_part(question, line, tones, count, spectrum->step_hz, &heard))
            insert(out, &heard);
    }
    free(tones);
    free(noise_pa2);
    return is_ok;
}

bool envelope_listen(struct pressure *pressure, const struct envelope_question *question, struct envelope_report *out,
                     struct err *err)
{
    struct listening listening = { .err = err };
    *out = (struct envelope_report){ .low_hz = ABSENT, .high_hz = ABSENT, .kurtosis = ABSENT };
    size_t frames = block_frames(pressure);
    if (frames == 0)
        return true;
    bool is_ok = listen(&listening, pressure, frames, err);
    if (is_ok && listening.chosen && listening.averager.spectrum.block_count > 0) {
        double step_hz = pressure->sample_rate_hz / (double)frames;
        out->low_hz = (double)listening.chosen->first * step_hz;
        out->high_hz = (double)(listening.chosen->first + listening.chosen->count) * step_hz;
        out->kurtosis = listening.chosen->kurtosis_sum / (double)listening.block_count;
        struct spectrum spectrum = averager_take(&listening.averager);
        is_ok = judge(question, &spectrum, out, err);
        free(spectrum.pa2);
    }
    fft_free(listening.block);
    fft_complex_free(listening.band);
    averager_clear(&listening.averager);
    free(listening.envelope);
    return is_ok;
}
