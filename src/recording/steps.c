/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/steps.h"

#include "base/clones.h"
#include "base/lanes.h"
#include "base/memory.h"
#include "base/units.h"

#include <math.h>
#include <stdlib.h>

#define BOX_S 0.001
#define BOX_FRAMES_LEAST 8
#define STEP_BOXES_LEAST 100
#define SLOW_HZ 2.0 /* below: offset, not rumble */
#define NEARLY_CONSTANT 0.125
#define USUAL_RANGE_BOXES 32 /* memory of the usual range */

struct box {
    double sum, square, least, most;
};

/* Share of a one-pole low-pass of `hz` that one box moves it. */
static double pole(double hz, double box_s)
{
    return 1 - exp(-2 * PI * hz * box_s);
}

bool steps_init(struct steps *steps, const struct steps_setup *setup, struct err *err)
{
    size_t box_frames = (size_t)(setup->rate_hz * BOX_S + 0.5), step_boxes = STEP_BOXES_LEAST;
    if (box_frames < BOX_FRAMES_LEAST)
        box_frames = BOX_FRAMES_LEAST;
    while (setup->frame_count / box_frames / step_boxes >= STEPS_MOST)
        step_boxes *= 2;
    double box_s = (double)box_frames / setup->rate_hz;
    *steps = (struct steps){ .box_frames = box_frames,
                             .step_boxes = step_boxes,
                             .step_s = box_s * (double)step_boxes,
                             .bits = setup->integer_bits,
                             .code_scale = ldexp(1, setup->integer_bits - 1),
                             .level_pole = pole(STEPS_LEVEL_FROM_HZ, box_s),
                             .slow_pole = pole(SLOW_HZ, box_s),
                             .rumble_pole = pole(setup->rumble_limit_hz, box_s) };
    ceiling_init(&steps->ceilings[0], 1, setup->integer_bits);
    ceiling_init(&steps->ceilings[1], -1, setup->integer_bits);
    return blade_track_init(&steps->blade, setup->expected_blade_hz, 1 / box_s, err);
}

void steps_clear(struct steps *steps)
{
    free(steps->items);
    blade_track_clear(&steps->blade);
    *steps = (struct steps){ 0 };
}

#define VECTORS 2 /* of samples, abreast */

WITH_CLONES static struct box box_of(const double *samples, size_t count)
{
    struct box box = { .least = samples[0], .most = samples[0] };
    lanes sum[VECTORS] = { { 0 } }, square[VECTORS] = { { 0 } }, least[VECTORS], most[VECTORS];
    for (size_t v = 0; v < VECTORS; v++)
        for (size_t lane = 0; lane < LANES; lane++)
            least[v][lane] = most[v][lane] = samples[0];
    size_t i = 0;
    for (; i + VECTORS * LANES <= count; i += VECTORS * LANES) {
        for (size_t v = 0; v < VECTORS; v++) {
            lanes here = *(const lanes *)(samples + i + v * LANES);
            sum[v] += here;
            square[v] += here * here;
            least[v] = LANES_SMALLER(here, least[v]);
            most[v] = LANES_LARGER(here, most[v]);
        }
    }
    for (; i < count; i++) {
        sum[0][0] += samples[i];
        square[0][0] += samples[i] * samples[i];
        box.least = smaller_of(samples[i], box.least);
        box.most = larger_of(samples[i], box.most);
    }
    for (size_t v = 0; v < VECTORS; v++)
        for (size_t lane = 0; lane < LANES; lane++) {
            box.sum += sum[v][lane];
            box.square += square[v][lane];
            box.least = smaller_of(least[v][lane], box.least);
            box.most = larger_of(most[v][lane], box.most);
        }
    return box;
}

/* A NaN anywhere makes the sum of squares one; infinite samples make it infinite. */
static bool is_plausible(const struct box *box)
{
    return isfinite(box->square) && box->most <= STEPS_IMPLAUSIBLE && box->least >= -STEPS_IMPLAUSIBLE;
}

static size_t count_bad(const double *samples, size_t count)
{
    size_t bad = 0;
    for (size_t i = 0; i < count; i++)
        bad += !(fabs(samples[i]) <= STEPS_IMPLAUSIBLE);
    return bad;
}

/* The slow filters, one value a box. The level is what is left when a low-pass y = 2 H - H^2 (H a one-pole) is taken
 * off every sample, the high-pass (1 - H)^2: sum of (x - y)^2 = sum x^2 - 2 y sum x + n y^2 with y held over the box.
 */
static void filter_box(struct steps *steps, const struct box *box, size_t count)
{
    double n = (double)count, mean = box->sum / n;
    if (!steps->is_started) {
        steps->low_pass_1 = steps->low_pass_2 = steps->slow = mean;
        steps->is_started = true;
    }
    steps->low_pass_1 += steps->level_pole * (mean - steps->low_pass_1);
    steps->low_pass_2 += steps->level_pole * (steps->low_pass_1 - steps->low_pass_2);
    double y = 2 * steps->low_pass_1 - steps->low_pass_2;
    steps->open.mean_square += larger_of(box->square - 2 * y * box->sum + n * y * y, 0);
    steps->open.fast_square += larger_of(box->square - mean * box->sum, 0);
    steps->slow += steps->slow_pole * (mean - steps->slow);
    steps->low_1 += steps->rumble_pole * (mean - steps->slow - steps->low_1);
    steps->low_2 += steps->rumble_pole * (steps->low_1 - steps->low_2);
    steps->open.low_square += steps->low_2 * steps->low_2 * n;
}

/* A last box of a few samples is equal by chance and tells nothing. */
static void judge_range(struct steps *steps, const struct box *box, size_t count)
{
    if (count < BOX_FRAMES_LEAST)
        return;
    double range = box->most - box->least;
    /* A sound that touches its ceiling has moved before: a constant from the start is silence. */
    bool is_at_ceiling = box->most != 0 && steps->usual_range > 0 &&
                         (box->most == steps->ceilings[0].value || -box->least == steps->ceilings[1].value);
    if (range == 0) {
        steps->open.constant_boxes += !is_at_ceiling;
        steps->trailing_boxes++;
        return;
    }
    if (steps->usual_range == 0)
        steps->leading_boxes = steps->trailing_boxes;
    steps->trailing_boxes = 0;
    steps->open.nearly_constant_boxes += range < NEARLY_CONSTANT * steps->usual_range;
    steps->usual_range += steps->usual_range == 0 ? range : (range - steps->usual_range) / USUAL_RANGE_BOXES;
    steps->open.box_range += range;
}

static void feed_ceiling(struct steps *steps, int side, const double *samples, size_t count, double most)
{
    struct ceiling *ceiling = &steps->ceilings[side];
    uint64_t runs = ceiling->run_count, frames = ceiling->frame_count;
    struct step *open = &steps->open;
    if (ceiling_feed(ceiling, samples, count, most)) {
        open->flat_runs[side] = open->flat_frames[side] = 0;
        runs = frames = 0;
    }
    open->flat_runs[side] += (size_t)(ceiling->run_count - runs);
    open->flat_frames[side] += (size_t)(ceiling->frame_count - frames);
    open->ceiling[side] = ceiling->value;
}

static bool close_step(struct steps *steps)
{
    struct step *open = &steps->open;
    double n = (double)steps->counted_frames;
    size_t ranges = open->box_count - open->constant_boxes;
    open->mean = n > 0 ? steps->sum / n : 0;
    open->mean_square = n > 0 ? open->mean_square / n : 0;
    open->fast_square = n > 0 ? open->fast_square / n : 0;
    open->low_square = n > 0 ? open->low_square / n : 0;
    open->box_range = ranges > 0 ? open->box_range / (double)ranges : 0;
    void *items = steps->items;
    if (!memory_grow(&items, &steps->capacity, steps->count + 1, sizeof *steps->items))
        return false;
    steps->items = items;
    steps->items[steps->count++] = *open;
    *open = (struct step){ 0 };
    steps->counted_frames = 0;
    steps->sum = 0;
    return true;
}

/* The bits of a box's first sample: a sample in some dozens is enough to see which are never used. */
static void note_code(struct steps *steps, double sample)
{
    if (steps->bits > 0)
        steps->codes |= (uint64_t)(int64_t)(sample * steps->code_scale);
}

static bool feed_box(struct steps *steps, const double *samples, size_t count)
{
    struct box box = box_of(samples, count);
    steps->open.frame_count += count;
    steps->open.box_count++;
    size_t bad = is_plausible(&box) ? 0 : count_bad(samples, count);
    steps->open.bad_count += bad;
    /* Nothing else is taken from a box with such samples: one of them would spoil every sum. */
    if (bad > 0)
        return blade_track_feed(&steps->blade, 0);
    steps->counted_frames += count;
    steps->sum += box.sum;
    steps->open.peak = larger_of(larger_of(box.most, -box.least), steps->open.peak);
    note_code(steps, samples[0]);
    filter_box(steps, &box, count);
    feed_ceiling(steps, 0, samples, count, box.most);
    feed_ceiling(steps, 1, samples, count, -box.least);
    judge_range(steps, &box, count);
    return blade_track_feed(&steps->blade, box.sum / (double)count);
}

bool steps_feed(struct steps *steps, const double *samples, size_t frame_count)
{
    for (size_t start = 0; start < frame_count; start += steps->box_frames) {
        size_t left = frame_count - start;
        if (!feed_box(steps, samples + start, left < steps->box_frames ? left : steps->box_frames))
            return false;
        if (steps->open.box_count == steps->step_boxes && !close_step(steps))
            return false;
    }
    return true;
}

bool steps_finish(struct steps *steps)
{
    return steps->open.box_count == 0 || close_step(steps);
}

double steps_code(const struct steps *steps)
{
    if (steps->bits == 0)
        return 0;
    int unused = 0;
    while (unused < steps->bits - 1 && steps->codes != 0 && (steps->codes >> unused & 1) == 0)
        unused++;
    return ldexp(1, 1 - steps->bits + unused);
}

bool step_is_silent(const struct step *step)
{
    return 2 * step->constant_boxes >= step->box_count;
}

static size_t flat_of(const struct steps *steps, const struct step *step, const size_t counts[2])
{
    size_t sum = 0;
    for (int side = 0; side < 2; side++)
        if (step->ceiling[side] == steps->ceilings[side].value)
            sum += counts[side];
    return sum;
}

size_t step_flat_runs(const struct steps *steps, size_t index)
{
    return flat_of(steps, &steps->items[index], steps->items[index].flat_runs);
}

size_t step_flat_frames(const struct steps *steps, size_t index)
{
    return flat_of(steps, &steps->items[index], steps->items[index].flat_frames);
}
