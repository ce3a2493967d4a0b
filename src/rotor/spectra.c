/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/explanation.h"

#include "base/absent.h"
#include "base/memory.h"
#include "rotor/averager.h"
#include "rotor/floor.h"
#include "rotor/order.h"
#include "rotor/tone.h"

#include <math.h>
#include <stdlib.h>

#define WANTED_STEP_HZ 1.0 /* a hum 3 Hz beside a blade tone is then a tone of its own */
#define LEAST_BLOCKS 1.5   /* of the used part's length, in blocks: two averages */
#define MOVING_LINES 1.5   /* lines that the highest strong shaft line smears over before it is worth resampling */
#define STRONG_DB 12.0
#define FIXED_MARGIN_DB 2.0 /* by which a line fixed in Hz is sharper in the plain spectrum */

static bool take_tones(struct explanation *explanation, struct err *err)
{
    struct rotor_figures *out = explanation->out;
    free(explanation->noise_pa2);
    free(out->tones);
    out->tones = NULL;
    out->tone_count = 0;
    explanation->noise_pa2 = memory_new(explanation->spectrum.count, sizeof *explanation->noise_pa2);
    if (!explanation->noise_pa2)
        return err_memory(err);
    return floor_estimate(&explanation->spectrum, explanation->noise_pa2, err) &&
           tones_find(&explanation->spectrum, explanation->noise_pa2, TONE_CHANCE, &out->tones, &out->tone_count, err);
}

/* A short recording's spectrum has few long blocks: many averages of wide lines. For tones fewer averages of narrow
 * lines are better. Where the step is fine already no second pass is taken. */
bool explanation_take_spectrum(struct explanation *explanation, const struct spectrum *spectrum, struct err *err)
{
    explanation->spectrum = *spectrum;
    size_t block = spectrum->block_frames;
    double frames = explanation->pressure ? (double)explanation->pressure->frame_count : 0;
    while (spectrum->sample_rate_hz / (double)block > WANTED_STEP_HZ && LEAST_BLOCKS * 2 * (double)block <= frames)
        block *= 2;
    if (block > spectrum->block_frames) {
        struct source source;
        struct spectrum fine;
        if (!source_of_pressure(explanation->pressure, &source, err) ||
            !spectrum_of_source(&source, spectrum->sample_rate_hz, block, &fine, err))
            return false;
        if (fine.pa2) {
            explanation->spectrum = fine;
            explanation->has_own_spectrum = true;
        }
    }
    explanation->highest_hz = (double)explanation->spectrum.count * explanation->spectrum.step_hz;
    return take_tones(explanation, err);
}

static double highest_strong_line_hz(const struct explanation *explanation)
{
    const struct rotor_figures *out = explanation->out;
    double highest_hz = 0;
    for (int number = 1; number <= 40; number++) {
        double hz = explanation->speed.shaft_hz * number * explanation->variant->blades;
        double width_hz = fmax(2 * explanation->spectrum.step_hz, hz * track_span(&explanation->track));
        const struct tone *tone = tone_nearest(out->tones, out->tone_count, hz, width_hz);
        if (tone && tone->line_ratio_db > STRONG_DB)
            highest_hz = hz;
    }
    return highest_hz;
}

/* Strongest of the tones within `width_hz`; NULL for none. */
static struct tone *strongest(struct tone *tones, size_t count, double hz, double width_hz)
{
    struct tone *best = NULL;
    for (size_t i = 0; i < count; i++)
        if (fabs(tones[i].hz - hz) <= width_hz && (!best || tones[i].line_ratio_db > best->line_ratio_db))
            best = &tones[i];
    return best;
}

static int by_hz(const void *a, const void *b)
{
    double left = ((const struct tone *)a)->hz, right = ((const struct tone *)b)->hz;
    return (left > right) - (left < right);
}

/* Tones over shaft angle, with those of the plain spectrum that are sharper there: what does not turn with the shaft.
 */
static bool merge(struct tone *turned, size_t turned_count, struct tone *plain, size_t plain_count, double span,
                  double step_hz, struct tone **out, size_t *count, struct err *err)
{
    struct tone *all = memory_new(turned_count + plain_count, sizeof *all);
    if (!all)
        return err_memory(err);
    *count = 0;
    for (size_t i = 0; i < plain_count; i++) {
        double width_hz = span * plain[i].hz / 2 + 2 * step_hz;
        const struct tone *other = strongest(turned, turned_count, plain[i].hz, width_hz);
        if (other && plain[i].line_ratio_db < other->line_ratio_db + FIXED_MARGIN_DB)
            continue;
        for (size_t n = 0; n < turned_count; n++)
            if (fabs(turned[n].hz - plain[i].hz) <= width_hz)
                turned[n].line_ratio_db = ABSENT; /* a smeared image of the plain one */
        all[(*count)++] = plain[i];
    }
    for (size_t i = 0; i < turned_count; i++)
        if (is_given(turned[i].line_ratio_db))
            all[(*count)++] = turned[i];
    if (*count > 0)
        qsort(all, *count, sizeof *all, by_hz);
    *out = all;
    return true;
}

/* Puts `tones` in the place of the ones they tell better. */
static bool take_merged(struct explanation *explanation, struct tone *tones, size_t count, double span, double step_hz,
                        struct err *err)
{
    struct rotor_figures *out = explanation->out;
    struct tone *merged = NULL;
    size_t merged_count = 0;
    if (!merge(tones, count, out->tones, out->tone_count, span, step_hz, &merged, &merged_count, err))
        return false;
    free(out->tones);
    out->tones = merged;
    out->tone_count = merged_count;
    return true;
}

static bool take_turned(struct explanation *explanation, const struct spectrum *turned, struct err *err)
{
    struct tone *tones = NULL;
    size_t count = 0;
    double *noise_pa2 = memory_new(turned->count, sizeof *noise_pa2);
    bool is_ok = noise_pa2 != NULL;
    if (!is_ok)
        err_memory(err);
    is_ok = is_ok && floor_estimate(turned, noise_pa2, err) &&
            tones_find(turned, noise_pa2, TONE_CHANCE, &tones, &count, err) &&
            take_merged(explanation, tones, count, track_span(&explanation->track), explanation->spectrum.step_hz, err);
    free(tones);
    free(noise_pa2);
    return is_ok;
}

/* Tones over shaft angle, where the speed moves so far that lines of the plain spectrum smear. */
static bool turn(struct explanation *explanation, struct err *err)
{
    const struct track *track = &explanation->track;
    if (!explanation->pressure || !explanation->variant || !is_given(track->mean_hz) ||
        !is_given(explanation->speed.shaft_hz))
        return true;
    double smear_hz = track_span(track) * highest_strong_line_hz(explanation);
    if (smear_hz < MOVING_LINES * explanation->spectrum.step_hz)
        return true;
    struct spectrum turned;
    if (!order_spectrum(explanation->pressure, track, explanation->spectrum.block_frames, &turned, err))
        return false;
    bool is_ok = !turned.pa2 || take_turned(explanation, &turned, err);
    if (is_ok && turned.pa2)
        explanation_refine_speed(explanation);
    free(turned.pa2);
    return is_ok;
}

/* Lines that stay broad even so are told by the spectrum of short blocks: a long one's would show each as several. */
bool explanation_sharpen(struct explanation *explanation, struct err *err)
{
    struct wander *wander = &explanation->wander;
    return turn(explanation, err) &&
           (wander->tone_count == 0 ||
            take_merged(explanation, wander->tones, wander->tone_count, wander->span, wander->spectrum.step_hz, err));
}
