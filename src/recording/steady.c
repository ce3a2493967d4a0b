/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/steady.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"

#include <stdlib.h>

/* Level of the half second that starts at step `index`; -INFINITY when any step of it is silent. */
static double average_level_db(const struct steps *steps, size_t index)
{
    double sum = 0, frames = 0;
    for (size_t i = index; i < index + STEADY_AVERAGE_STEPS; i++) {
        const struct step *step = &steps->items[i];
        if (!(step->mean_square > 0) || step->constant_boxes >= STEP_BOXES / 2)
            return -INFINITY;
        sum += step->mean_square * (double)step->frame_count;
        frames += (double)step->frame_count;
    }
    return power_ratio_to_db(sum / frames);
}

double steady_range_db(const struct steps *steps, size_t first, size_t end)
{
    if (end - first < STEADY_AVERAGE_STEPS)
        return ABSENT;
    double least = INFINITY, most = -INFINITY;
    for (size_t i = first; i + STEADY_AVERAGE_STEPS <= end; i++) {
        double level = average_level_db(steps, i);
        least = fmin(least, level);
        most = fmax(most, level);
    }
    return most - least; /* silence: -INFINITY makes it INFINITY */
}

/* Indices whose levels fall (or rise) from front to back: the front is the largest (or least) of the window. */
struct queue {
    size_t *items, front, back;
};

static void queue_add(struct queue *queue, const double *levels, size_t index, double sign)
{
    while (queue->back > queue->front && sign * levels[queue->items[queue->back - 1]] <= sign * levels[index])
        queue->back--;
    queue->items[queue->back++] = index;
}

/* The longest window of `levels` whose range is at most STEADY_RANGE_DB, in one sweep. */
static void longest_window(const double *levels, size_t count, size_t *room, size_t *first, size_t *length)
{
    struct queue most = { .items = room }, least = { .items = room + count };
    *first = *length = 0;
    size_t start = 0;
    for (size_t i = 0; i < count; i++) {
        if (isinf(levels[i])) {
            start = i + 1;
            most.front = most.back = least.front = least.back = 0;
            continue;
        }
        queue_add(&most, levels, i, 1);
        queue_add(&least, levels, i, -1);
        while (levels[most.items[most.front]] - levels[least.items[least.front]] > STEADY_RANGE_DB) {
            start++;
            most.front += most.items[most.front] < start;
            least.front += least.items[least.front] < start;
        }
        if (i + 1 - start > *length) {
            *length = i + 1 - start;
            *first = start;
        }
    }
}

static int compare_doubles(const void *a, const void *b)
{
    const double *left = a, *right = b;
    return (*left > *right) - (*left < *right);
}

static double step_level_db(const struct steps *steps, size_t index)
{
    return power_ratio_to_db(steps->items[index].mean_square);
}

/* Whether a step at the end of a stretch holds its level. Where the recording itself begins or ends nothing tells of a
 * ramp beside it, so that only a plain fade is cut there; a last step of a few samples says nothing. */
static bool holds_level(const struct steps *steps, size_t index, double median_db)
{
    bool is_edge = index == 0 || index + 1 == steps->count;
    if (is_edge && 2 * steps->items[index].frame_count < steps->box_frames * STEP_BOXES)
        return true;
    return fabs(step_level_db(steps, index) - median_db) <= (is_edge ? STEADY_RANGE_DB : STEADY_RANGE_DB / 2);
}

/* Rule 3: leaves out steps at both ends that do not hold the level yet or any more. */
static void trim(const struct steps *steps, double *room, struct steady *steady)
{
    size_t count = steady->end - steady->first;
    for (size_t i = 0; i < count; i++)
        room[i] = step_level_db(steps, steady->first + i);
    qsort(room, count, sizeof *room, compare_doubles);
    double median_db = room[count / 2];
    while (steady->first < steady->end && !holds_level(steps, steady->first, median_db))
        steady->first++;
    while (steady->end > steady->first && !holds_level(steps, steady->end - 1, median_db))
        steady->end--;
}

bool steady_find(const struct steps *steps, struct steady *out)
{
    struct steady whole = { .end = steps->count, .range_db = steady_range_db(steps, 0, steps->count) };
    *out = whole;
    if (steps->count < STEADY_AVERAGE_STEPS)
        return true;
    size_t count = steps->count - STEADY_AVERAGE_STEPS + 1, first, length;
    double *levels = memory_new(steps->count, sizeof *levels);
    size_t *room = memory_new(2 * count, sizeof *room);
    bool done = levels && room;
    if (done) {
        for (size_t i = 0; i < count; i++)
            levels[i] = average_level_db(steps, i);
        longest_window(levels, count, room, &first, &length);
        if (length > 0) {
            struct steady found = { .first = first, .end = first + length + STEADY_AVERAGE_STEPS - 1 };
            trim(steps, levels, &found);
            found.is_found = (double)(found.end - found.first) * steps->step_s >= STEADY_LEAST_S;
            found.is_whole = found.first == 0 && found.end == steps->count;
            found.range_db = steady_range_db(steps, found.first, found.end);
            if (found.is_found)
                *out = found;
        }
    }
    free(levels);
    free(room);
    return done;
}
