/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/ridge.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/averager.h"
#include "rotor/rank.h"
#include "rotor/thinner.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { WINDOWS_LEAST = 12, WINDOWS_MOST = 1000 };

#define WINDOW_S 0.2
#define LOWEST_HZ 30.0
#define HIGHEST_HZ 3000.0
#define QUARTILE_SHARE 0.28768207 /* lower quartile of noise over its mean: -ln(3/4), exponential distribution */
#define DYNAMIC_RANGE 1e-13       /* of the loudest line: below it lies arithmetic, not sound */
#define HEIGHT_MOST_DB 25.0       /* one loud moment makes no ridge */
#define STEP_COST_DB 0.3          /* a line */
#define CLEAR_DB 8.0              /* noise comes so high in one line of 500 */
#define CLEAR_LEAST 0.6           /* share of the windows */
#define UNEVEN 2.5
#define LOBE_LINES 3    /* either side, that one tone fills */
#define LINE_SPREAD 0.2 /* standard uncertainty of a ridge's place, in lines */
#define NEIGHBOURS 3    /* points either side that tell one that is off */
#define OFF_LINES 3.0   /* from their median */

struct field { /* heights over time and frequency */
    struct averager averager;
    size_t first_line, line_count, window_count, every, seen;
    size_t capacity; /* windows */
    double *heights; /* [window][line]; pa2 first, then dB above the ground, at least 0 */
    double *time_s, *sums;
    int16_t *from; /* [window][line]: by how many lines the best path came */
    double step_hz, hop_share, delay_s;
};

static void field_clear(struct field *field)
{
    averager_clear(&field->averager);
    free(field->heights);
    free(field->time_s);
    free(field->sums);
    free(field->from);
    *field = (struct field){ .every = 0 };
}

static bool field_init(struct field *field, const struct thinner *thinner, double duration_s, struct err *err)
{
    size_t block = fft_good_size((size_t)(WINDOW_S * thinner->sample_rate_hz));
    if (!averager_init(&field->averager, thinner->sample_rate_hz, block, err))
        return false;
    double hop_s = (double)(block / 2) / thinner->sample_rate_hz;
    field->step_hz = field->averager.spectrum.step_hz;
    field->first_line = (size_t)(LOWEST_HZ / field->step_hz);
    size_t last = (size_t)fmin(HIGHEST_HZ / field->step_hz, (double)field->averager.spectrum.count - 2);
    field->line_count = last > field->first_line ? last - field->first_line : 0;
    field->every = (size_t)(duration_s / hop_s / WINDOWS_MOST) + 1;
    field->capacity = (size_t)(duration_s / hop_s) / field->every + 2;
    field->hop_share = UNEVEN * RIDGE_SPAN_MOST * (double)field->every * hop_s / duration_s;
    field->delay_s = thinner->delay_s;
    field->heights = memory_new(field->capacity * field->line_count, sizeof *field->heights);
    field->from = memory_new(field->capacity * field->line_count, sizeof *field->from);
    field->time_s = memory_new(field->capacity, sizeof *field->time_s);
    field->sums = memory_new(2 * field->line_count, sizeof *field->sums);
    return field->heights && field->from && field->time_s && field->sums ? true : err_memory(err);
}

static bool take_window(void *context, size_t start_frame, const double *block)
{
    struct field *field = context;
    if (field->seen++ % field->every != 0 || field->window_count == field->capacity)
        return true;
    struct averager *averager = &field->averager;
    averager_restart(averager);
    averager_add(averager, block);
    memcpy(field->heights + field->window_count * field->line_count, averager->spectrum.pa2 + field->first_line,
           field->line_count * sizeof *field->heights);
    double middle = (double)start_frame + (double)averager->spectrum.block_frames / 2;
    field->time_s[field->window_count++] = middle / averager->spectrum.sample_rate_hz - field->delay_s;
    return true;
}

/* From mean squares to heights above what each line mostly has. */
static bool level_ground(struct field *field, struct err *err)
{
    double *column = memory_new(field->window_count, sizeof *column), most = 0;
    if (!column)
        return err_memory(err);
    for (size_t i = 0; i < field->window_count * field->line_count; i++)
        most = fmax(most, field->heights[i]);
    for (size_t k = 0; k < field->line_count; k++) {
        for (size_t w = 0; w < field->window_count; w++)
            column[w] = field->heights[w * field->line_count + k];
        double quartile = rank_value(column, field->window_count, field->window_count / 4);
        double ground = fmax(quartile / QUARTILE_SHARE, DYNAMIC_RANGE * most);
        for (size_t w = 0; w < field->window_count; w++) {
            double *height = &field->heights[w * field->line_count + k];
            *height = *height > ground ? power_ratio_to_db(*height / ground) : 0;
        }
    }
    free(column);
    return true;
}

/* Most lines that a ridge may move by from one window to the next. */
static int reach(const struct field *field, size_t line)
{
    return 1 + (int)(field->hop_share * (double)(line + field->first_line));
}

/* Best sums of all paths that end on each line of window `w`. */
static void advance(struct field *field, size_t w, const double *before, double *now)
{
    const double *heights = field->heights + w * field->line_count;
    int16_t *from = field->from + w * field->line_count;
    for (size_t k = 0; k < field->line_count; k++) {
        size_t most = (size_t)reach(field, k), best = k;
        double best_sum = -HUGE_VAL;
        for (size_t n = k > most ? k - most : 0; n <= k + most && n < field->line_count; n++) {
            double sum = before[n] - STEP_COST_DB * fabs((double)n - (double)k);
            if (sum > best_sum) {
                best_sum = sum;
                best = n;
            }
        }
        now[k] = best_sum + fmin(heights[k], HEIGHT_MOST_DB);
        from[k] = (int16_t)((ptrdiff_t)best - (ptrdiff_t)k);
    }
}

/* The highest path: its line in each window. */
static void find_path(struct field *field, size_t *path)
{
    double *before = field->sums, *now = field->sums + field->line_count;
    for (size_t k = 0; k < field->line_count; k++)
        now[k] = fmin(field->heights[k], HEIGHT_MOST_DB);
    for (size_t w = 1; w < field->window_count; w++) {
        double *swap = before;
        before = now;
        now = swap;
        advance(field, w, before, now);
    }
    size_t line = 0;
    for (size_t k = 1; k < field->line_count; k++)
        if (now[k] > now[line])
            line = k;
    for (size_t w = field->window_count; w-- > 0;) {
        path[w] = line;
        line = (size_t)((ptrdiff_t)line + (w > 0 ? field->from[w * field->line_count + line] : 0));
    }
}

/* Where between the lines the ridge is: a parabola through the heights. */
static double place_hz(const struct field *field, size_t w, size_t line)
{
    const double *heights = field->heights + w * field->line_count;
    double shift = 0;
    if (line > 0 && line + 1 < field->line_count) {
        double bend = heights[line - 1] - 2 * heights[line] + heights[line + 1];
        shift = bend < 0 ? (heights[line - 1] - heights[line + 1]) / (2 * bend) : 0;
    }
    return ((double)(line + field->first_line) + fmin(fmax(shift, -1), 1)) * field->step_hz;
}

/* Is this point far from the middle one of those around it? */
static bool is_off(const struct field *field, const size_t *path, size_t w)
{
    double around[2 * NEIGHBOURS + 1];
    size_t first = w > NEIGHBOURS ? w - NEIGHBOURS : 0, count = 0;
    for (size_t i = first; i <= w + NEIGHBOURS && i < field->window_count; i++)
        around[count++] = (double)path[i];
    return fabs((double)path[w] - rank_value(around, count, count / 2)) > OFF_LINES + 2 * (reach(field, path[w]) - 1);
}

static bool take_path(const struct field *field, const size_t *path, double duration_s, struct track *out,
                      struct err *err)
{
    *out = (struct track){ .duration_s = duration_s, .mean_hz = ABSENT };
    for (size_t w = 0; w < field->window_count; w++)
        if (field->heights[w * field->line_count + path[w]] >= CLEAR_DB && !is_off(field, path, w) &&
            !track_add(out, field->time_s[w], place_hz(field, w, path[w]), LINE_SPREAD * field->step_hz))
            return err_memory(err);
    out->heard_share = (double)out->count / (double)field->window_count;
    return out->heard_share < CLEAR_LEAST || track_fit(out, err);
}

static void level_path(struct field *field, const size_t *path)
{
    for (size_t w = 0; w < field->window_count; w++) {
        size_t half = LOBE_LINES + (size_t)reach(field, path[w]);
        for (size_t k = path[w] > half ? path[w] - half : 0; k <= path[w] + half && k < field->line_count; k++)
            field->heights[w * field->line_count + k] = 0;
    }
}

static bool find_in(struct field *field, double duration_s, struct ridges *out, struct err *err)
{
    size_t *path = memory_new(field->window_count, sizeof *path);
    bool is_ok = path != NULL && level_ground(field, err);
    if (!path)
        return err_memory(err);
    for (int i = 0; is_ok && i < RIDGES_MOST; i++) {
        struct track *ridge = &out->items[out->count];
        find_path(field, path);
        is_ok = take_path(field, path, duration_s, ridge, err);
        double span = is_ok && is_given(ridge->mean_hz) ? track_span(ridge) : 0;
        if (span >= RIDGE_SPAN_LEAST && span <= RIDGE_SPAN_MOST)
            out->count++;
        else
            track_clear(ridge);
        level_path(field, path);
    }
    free(path);
    return is_ok;
}

bool ridges_find(struct pressure *pressure, struct ridges *out, struct err *err)
{
    struct thinner thinner;
    struct field field = { .every = 0 };
    double duration_s = (double)pressure->frame_count / pressure->sample_rate_hz;
    *out = (struct ridges){ .count = 0 };
    bool is_ok = thinner_open(&thinner, pressure, HIGHEST_HZ, err) && field_init(&field, &thinner, duration_s, err);
    if (is_ok && field.line_count > 0) {
        size_t frames = field.averager.spectrum.block_frames;
        is_ok = blocks_run(&thinner.source, frames, frames / 2, take_window, &field, err);
    }
    if (is_ok && field.window_count >= WINDOWS_LEAST)
        is_ok = find_in(&field, duration_s, out, err);
    field_clear(&field);
    thinner_clear(&thinner);
    if (!is_ok)
        ridges_clear(out);
    return is_ok;
}

void ridges_clear(struct ridges *ridges)
{
    for (size_t i = 0; i < RIDGES_MOST; i++)
        track_clear(&ridges->items[i]);
    ridges->count = 0;
}
