/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/steady.h"

#include "base/absent.h"
#include "base/median.h"
#include "base/memory.h"
#include "base/units.h"

#include <stdlib.h>

/* Level of the half second that starts at step `index`; minus infinity when any step of it is silent. */
static double average_level_db(const struct steps *steps, size_t index)
{
    double sum = 0, frames = 0;
    for (size_t i = index; i < index + STEADY_AVERAGE_STEPS; i++) {
        const struct step *step = &steps->items[i];
        if (!(step->fast_square > 0) || step_is_silent(step))
            return -HUGE_VAL;
        sum += step->fast_square * (double)step->frame_count;
        frames += (double)step->frame_count;
    }
    return power_ratio_to_db(sum / frames);
}

double steady_range_db(const struct steps *steps, size_t first, size_t end)
{
    if (end - first < STEADY_AVERAGE_STEPS)
        return ABSENT;
    double least = HUGE_VAL, most = -HUGE_VAL;
    for (size_t i = first; i + STEADY_AVERAGE_STEPS <= end; i++) {
        double level = average_level_db(steps, i);
        least = fmin(least, level);
        most = fmax(most, level);
    }
    return most - least; /* silence, minus infinity, makes it infinite */
}

/* Blade frequency in a half second from step `index`, as 100 times its logarithm so that differences are percent. */
static double speed_pct(const struct steps *steps, size_t index)
{
    const struct blade_track *blade = &steps->blade;
    if (blade->count == 0)
        return ABSENT;
    /* Both by their middles, in boxes: second j starts at box j times the hop and is two hops long. */
    double middle = ((double)index + STEADY_AVERAGE_STEPS / 2.0) * (double)steps->step_boxes;
    double nearest = floor(middle / (double)BLADE_TRACK_HOP_BOXES - 0.5);
    size_t second = (size_t)fmin(fmax(nearest, 0), (double)blade->count - 1);
    return 100 * log(blade_track_hz(blade, second));
}

double steady_speed_range_pct(const struct steps *steps, size_t first, size_t end)
{
    double least = HUGE_VAL, most = -HUGE_VAL;
    for (size_t i = first; i + STEADY_AVERAGE_STEPS <= end; i++) {
        double speed = speed_pct(steps, i);
        least = fmin(least, speed);
        most = fmax(most, speed);
    }
    return most >= least ? most - least : ABSENT;
}

/* Indices whose values fall (or rise) from front to back: the front is the largest (or least) of the window. */
struct queue {
    size_t *items, front, back;
};

static void queue_add(struct queue *queue, const double *values, size_t index, double sign)
{
    while (queue->back > queue->front && sign * values[queue->items[queue->back - 1]] <= sign * values[index])
        queue->back--;
    queue->items[queue->back++] = index;
}

/* The range of one quantity over a window that only moves on. */
struct range {
    const double *values;
    double limit;
    struct queue most, least;
};

static void range_add(struct range *range, size_t index)
{
    if (!is_given(range->values[index]))
        return;
    queue_add(&range->most, range->values, index, 1);
    queue_add(&range->least, range->values, index, -1);
}

static bool range_is_kept(const struct range *range)
{
    if (range->most.back == range->most.front)
        return true;
    return range->values[range->most.items[range->most.front]] -
               range->values[range->least.items[range->least.front]] <=
           range->limit;
}

static void range_forget(struct range *range, size_t before)
{
    while (range->most.front < range->most.back && range->most.items[range->most.front] < before)
        range->most.front++;
    while (range->least.front < range->least.back && range->least.items[range->least.front] < before)
        range->least.front++;
}

/* The longest window in which levels and speeds keep their range, in one sweep; silence (minus infinity) breaks it. */
static void longest_window(struct range *levels, struct range *speeds, size_t count, size_t *first, size_t *length)
{
    *first = *length = 0;
    size_t start = 0;
    for (size_t i = 0; i < count; i++) {
        if (isinf(levels->values[i])) {
            start = i + 1;
            range_forget(levels, start);
            range_forget(speeds, start);
            continue;
        }
        range_add(levels, i);
        range_add(speeds, i);
        while (!range_is_kept(levels) || !range_is_kept(speeds)) {
            start++;
            range_forget(levels, start);
            range_forget(speeds, start);
        }
        if (i + 1 - start > *length) {
            *length = i + 1 - start;
            *first = start;
        }
    }
}

static double step_level_db(const struct steps *steps, size_t index)
{
    return power_ratio_to_db(steps->items[index].fast_square);
}

/* The steps but for a last one of less than half a step's samples, whose level says nothing. */
static size_t telling_count(const struct steps *steps)
{
    size_t last = steps->count - 1;
    return 2 * steps->items[last].frame_count < steps->box_frames * steps->step_boxes ? last : steps->count;
}

/* Whether a step at the end of a stretch holds its level. Where the recording itself begins or ends nothing tells of a
 * ramp beside it, so that only a plain fade is cut there. */
static bool holds_level(const struct steps *steps, size_t index, double median_db)
{
    bool is_edge = index == 0 || index + 1 == telling_count(steps);
    return fabs(step_level_db(steps, index) - median_db) <= (is_edge ? STEADY_RANGE_DB : STEADY_RANGE_DB / 2);
}

/* Rule 3: leaves out steps at both ends that do not hold the level yet or any more. */
static void trim(const struct steps *steps, double *room, struct steady *steady)
{
    size_t telling_end = telling_count(steps);
    bool has_rest = steady->end > telling_end;
    if (has_rest)
        steady->end = telling_end;
    size_t count = steady->end - steady->first;
    for (size_t i = 0; i < count; i++)
        room[i] = step_level_db(steps, steady->first + i);
    double median_db = median(room, count);
    while (steady->first < steady->end && !holds_level(steps, steady->first, median_db))
        steady->first++;
    while (steady->end > steady->first && !holds_level(steps, steady->end - 1, median_db))
        steady->end--;
    if (has_rest && steady->end == telling_end)
        steady->end = steps->count;
}

static struct steady all_but_silent_ends(const struct steps *steps)
{
    struct steady all = { .end = steps->count };
    while (all.first < all.end && step_is_silent(&steps->items[all.first]))
        all.first++;
    while (all.end > all.first && step_is_silent(&steps->items[all.end - 1]))
        all.end--;
    if (all.first == all.end)
        all = (struct steady){ .end = steps->count };
    all.range_db = steady_range_db(steps, all.first, all.end);
    return all;
}

/* `values` has room for two numbers of each step, `room` for four. */
static struct steady longest_steady(const struct steps *steps, double *values, size_t *room)
{
    size_t count = steps->count - STEADY_AVERAGE_STEPS + 1, first, length;
    struct range levels = {
        .values = values, .limit = STEADY_RANGE_DB, .most = { .items = room }, .least = { .items = room + count }
    };
    struct range speeds = { .values = values + count,
                            .limit = STEADY_SPEED_PCT,
                            .most = { .items = room + 2 * count },
                            .least = { .items = room + 3 * count } };
    for (size_t i = 0; i < count; i++) {
        values[i] = average_level_db(steps, i);
        values[count + i] = speed_pct(steps, i);
    }
    longest_window(&levels, &speeds, count, &first, &length);
    if (length == 0)
        return (struct steady){ 0 };
    struct steady found = { .first = first, .end = first + length + STEADY_AVERAGE_STEPS - 1 };
    trim(steps, values, &found);
    found.is_found = (double)(found.end - found.first) * steps->step_s >= STEADY_LEAST_S;
    found.is_whole = found.first == 0 && found.end == steps->count;
    found.range_db = steady_range_db(steps, found.first, found.end);
    return found;
}

bool steady_find(const struct steps *steps, struct steady *out)
{
    *out = all_but_silent_ends(steps);
    if (steps->count < STEADY_AVERAGE_STEPS)
        return true;
    double *values = memory_new(2 * steps->count, sizeof *values);
    size_t *room = memory_new(4 * steps->count, sizeof *room);
    bool done = values && room;
    if (done) {
        struct steady found = longest_steady(steps, values, room);
        if (found.is_found)
            *out = found;
    }
    free(values);
    free(room);
    return done;
}
