/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/tach.h"

#include "base/memory.h"
#include "rotor/rank.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { RECENT = 9, READ_FRAMES = 8192 };

#define HYSTERESIS_SHARE 0.2
#define LEAST_HEIGHT 0.005 /* of full scale: below it there is no pulse */
#define GLITCH_SHARE 0.7   /* of the median interval */
#define LOST_MISFIT 0.2    /* of an interval, from a whole multiple */
#define LOST_MOST 4
#define POINT_S 0.25     /* of pulses in one point of the track */
#define EDGE_FRAMES 0.05 /* standard uncertainty of an interpolated edge */

struct pulses {
    double middle, hysteresis, sample_rate_hz, pulses_per_rev;
    bool is_armed, has_last;
    double before;           /* sample before */
    double last_s;           /* time of the last good pulse */
    double recent_s[RECENT]; /* intervals */
    size_t recent_count;
    double first_s;     /* of the running point */
    double turn_pulses; /* pulses since then */
    struct track *track;
    struct tach_report *report;
    bool failed;
};

static double recent_median(const struct pulses *pulses)
{
    size_t count = pulses->recent_count < RECENT ? pulses->recent_count : RECENT;
    double sorted[RECENT];
    memcpy(sorted, pulses->recent_s, count * sizeof *sorted);
    return rank_value(sorted, count, count / 2);
}

static void start_point(struct pulses *pulses, double time_s)
{
    pulses->first_s = time_s;
    pulses->turn_pulses = 0;
}

/* A point of the track once enough time and whole turns have gone by. */
static void count_pulse(struct pulses *pulses, double time_s, double pulse_count)
{
    pulses->turn_pulses += pulse_count;
    double turns = pulses->turn_pulses / pulses->pulses_per_rev, length_s = time_s - pulses->first_s;
    bool is_whole = fabs(turns - round(turns)) < 1e-6;
    if (length_s < POINT_S || !is_whole)
        return;
    double hz = turns / length_s;
    double uncertainty_hz = hz * sqrt(2.0) * EDGE_FRAMES / pulses->sample_rate_hz / length_s;
    if (!track_add(pulses->track, pulses->first_s + length_s / 2, hz, uncertainty_hz))
        pulses->failed = true;
    start_point(pulses, time_s);
}

static void take_pulse(struct pulses *pulses, double time_s)
{
    if (!pulses->has_last) {
        pulses->has_last = true;
        pulses->last_s = time_s;
        start_point(pulses, time_s);
        return;
    }
    double interval_s = time_s - pulses->last_s, count = 1;
    if (pulses->recent_count >= RECENT) {
        double usual_s = recent_median(pulses);
        if (interval_s < GLITCH_SHARE * usual_s) {
            pulses->report->glitch_count++;
            return;
        }
        count = fmax(round(interval_s / usual_s), 1);
        pulses->last_s = time_s;
        if (count > LOST_MOST || fabs(interval_s / usual_s - count) > LOST_MISFIT * count) {
            start_point(pulses, time_s);
            return;
        }
        pulses->report->lost_count += (size_t)(count - 1);
    }
    pulses->last_s = time_s;
    pulses->recent_s[pulses->recent_count++ % RECENT] = interval_s / count;
    pulses->report->pulse_count++;
    count_pulse(pulses, time_s, count);
}

static void take_sample(struct pulses *pulses, double value, uint64_t frame)
{
    if (value < pulses->middle - pulses->hysteresis)
        pulses->is_armed = true;
    if (pulses->is_armed && value >= pulses->middle) {
        double share = (pulses->middle - pulses->before) / (value - pulses->before);
        take_pulse(pulses, ((double)frame - 1 + share) / pulses->sample_rate_hz);
        pulses->is_armed = false;
    }
    pulses->before = value;
}

/* Calls use(context, frame, value) for every frame of the used part. */
static bool read_channel(const struct pressure *pressure, int channel,
                         void (*use)(void *context, uint64_t frame, double value), void *context, struct err *err)
{
    double block[READ_FRAMES], *blocks[] = { block };
    if (!recording_seek(pressure->recording, pressure->first_frame, err))
        return false;
    for (uint64_t frame = 0; frame < pressure->frame_count;) {
        uint64_t left = pressure->frame_count - frame;
        size_t got = 0;
        if (!recording_read(pressure->recording, &channel, 1, blocks, left < READ_FRAMES ? (size_t)left : READ_FRAMES,
                            &got, err))
            return false;
        if (got == 0)
            break;
        for (size_t i = 0; i < got; i++)
            use(context, frame + i, block[i]);
        frame += got;
    }
    return true;
}

struct range {
    double least, most;
};

struct ranges { /* of tenths of a second */
    struct range *items;
    size_t frames_each, count;
};

static void widen(void *context, uint64_t frame, double value)
{
    struct ranges *ranges = context;
    size_t index = (size_t)(frame / ranges->frames_each);
    if (index >= ranges->count)
        return;
    ranges->items[index].least = fmin(ranges->items[index].least, value);
    ranges->items[index].most = fmax(ranges->items[index].most, value);
}

static void detect(void *context, uint64_t frame, double value)
{
    take_sample(context, value, frame);
}

static double median_of(const struct ranges *ranges, double *values, bool of_most)
{
    for (size_t i = 0; i < ranges->count; i++)
        values[i] = of_most ? ranges->items[i].most : ranges->items[i].least;
    return rank_value(values, ranges->count, ranges->count / 2);
}

static bool find_height(const struct pressure *pressure, int channel, double *least, double *most, struct err *err)
{
    size_t each = (size_t)(pressure->sample_rate_hz / 10);
    struct ranges ranges = { .frames_each = each, .count = (size_t)(pressure->frame_count / each) };
    *least = *most = 0;
    if (ranges.count == 0)
        return true;
    ranges.items = memory_new(ranges.count, sizeof *ranges.items);
    double *values = memory_new(ranges.count, sizeof *values);
    bool is_ok = ranges.items && values;
    if (!is_ok)
        err_memory(err);
    for (size_t i = 0; i < ranges.count && is_ok; i++)
        ranges.items[i] = (struct range){ HUGE_VAL, -HUGE_VAL };
    is_ok = is_ok && read_channel(pressure, channel, widen, &ranges, err);
    if (is_ok) {
        *least = median_of(&ranges, values, false);
        *most = median_of(&ranges, values, true);
    }
    free(ranges.items);
    free(values);
    return is_ok;
}

bool track_by_tach(const struct pressure *pressure, int tach_channel, double pulses_per_rev, struct track *out,
                   struct tach_report *report, struct err *err)
{
    double least = 0, most = 0;
    *out = (struct track){ .duration_s = (double)pressure->frame_count / pressure->sample_rate_hz, .heard_share = 1 };
    *report = (struct tach_report){ 0 };
    if (!find_height(pressure, tach_channel, &least, &most, err))
        return false;
    report->height = most - least;
    if (report->height > LEAST_HEIGHT) {
        struct pulses pulses = { .middle = (least + most) / 2,
                                 .hysteresis = HYSTERESIS_SHARE * report->height,
                                 .sample_rate_hz = pressure->sample_rate_hz,
                                 .pulses_per_rev = pulses_per_rev > 0 ? pulses_per_rev : 1,
                                 .track = out,
                                 .report = report };
        if (!read_channel(pressure, tach_channel, detect, &pulses, err) || pulses.failed) {
            track_clear(out);
            return pulses.failed ? err_memory(err) : false;
        }
    }
    if (!track_fit(out, err)) {
        track_clear(out);
        return false;
    }
    return true;
}
