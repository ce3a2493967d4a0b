/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/band_stage.h"

#include "base/memory.h"
#include "meters/clones.h"
#include "meters/detector.h"

#include <math.h>
#include <stdlib.h>

/* States below this are silence; without it they would go on to numbers that some processors treat slowly. */
#define TINY 1e-140

bool band_stage_init(struct band_stage *stage, double rate_hz, size_t hop_frames, size_t band_count, struct err *err)
{
    *stage = (struct band_stage){ .rate_hz = rate_hz, .hop_frames = hop_frames, .band_count = band_count };
    struct detector detector;
    detector_init(&detector, DETECTOR_FAST_S, (double)hop_frames / rate_hz);
    stage->fast_keep = detector.keep;
    detector_init(&detector, DETECTOR_SLOW_S, (double)hop_frames / rate_hz);
    stage->slow_keep = detector.keep;
    stage->group_count = (band_count + BAND_LANES - 1) / BAND_LANES;
    stage->groups = memory_new(stage->group_count, sizeof *stage->groups);
    if (!stage->groups)
        return err_memory(err);
    for (size_t i = 0; i < stage->group_count; i++)
        stage->groups[i].fast_unheard = stage->groups[i].slow_unheard = (band_lanes){ 1, 1, 1, 1 };
    return true;
}

void band_stage_clear(struct band_stage *stage)
{
    free(stage->groups);
    *stage = (struct band_stage){ 0 };
}

void band_stage_set(struct band_stage *stage, size_t index, const struct band_filter *filter, double settled_s)
{
    struct band_group *group = &stage->groups[index / BAND_LANES];
    size_t lane = index % BAND_LANES;
    for (int i = 0; i < filter->section_count; i++) {
        group->a1[i][lane] = filter->a1[i];
        group->a2[i][lane] = filter->a2[i];
    }
    group->power_scale[lane] = filter->power_scale;
    group->settled_hop[lane] = ceil(settled_s * stage->rate_hz / (double)stage->hop_frames);
    group->section_count = filter->section_count;
}

/* One hop of one group. Inlined with a constant number of sections, so that all states stay in registers. */
static inline __attribute__((always_inline)) void run_group(struct band_group *group, int section_count,
                                                            const double *frames, size_t frame_count)
{
    band_lanes a1[BAND_SECTIONS_MAX], a2[BAND_SECTIONS_MAX], before[BAND_SECTIONS_MAX], before2[BAND_SECTIONS_MAX];
    for (int k = 0; k < section_count; k++) {
        a1[k] = group->a1[k];
        a2[k] = group->a2[k];
        before[k] = group->before[k];
        before2[k] = group->before2[k];
    }
    band_lanes sum = { 0 };
    for (size_t i = 0; i < frame_count; i++) {
        band_lanes value = { frames[i], frames[i], frames[i], frames[i] };
        for (int k = 0; k < section_count; k++) {
            band_lanes now = (value - a2[k] * before2[k]) - a1[k] * before[k];
            value = now - before2[k];
            before2[k] = before[k];
            before[k] = now;
        }
        sum += value * value;
    }
    for (int k = 0; k < section_count; k++) {
        group->before[k] = before[k];
        group->before2[k] = before2[k];
    }
    group->hop_pa2 = sum * group->power_scale * (1 / (double)frame_count);
}

WITH_CLONES static void run_hop(struct band_stage *stage, const double *frames, size_t frame_count)
{
    for (size_t i = 0; i < stage->group_count; i++) {
        if (stage->groups[i].section_count <= 3)
            run_group(&stage->groups[i], 3, frames, frame_count);
        else
            run_group(&stage->groups[i], 4, frames, frame_count);
    }
}

static void flush_tiny(struct band_group *group)
{
    for (int k = 0; k < group->section_count; k++)
        for (int lane = 0; lane < BAND_LANES; lane++)
            if (fabs(group->before[k][lane]) < TINY && fabs(group->before2[k][lane]) < TINY)
                group->before[k][lane] = group->before2[k][lane] = 0;
}

/* detector_step for one lane. */
static inline void step(const struct band_stage *stage, struct band_group *group, int lane)
{
    double mean_pa2 = group->hop_pa2[lane];
    group->fast_pa2[lane] = stage->fast_keep * group->fast_pa2[lane] + (1 - stage->fast_keep) * mean_pa2;
    group->slow_pa2[lane] = stage->slow_keep * group->slow_pa2[lane] + (1 - stage->slow_keep) * mean_pa2;
    group->fast_unheard[lane] *= stage->fast_keep;
    group->slow_unheard[lane] *= stage->slow_keep;
}

static inline double greater_reading(double value_pa2, double unheard, double than_pa2)
{
    struct detector detector = { .value_pa2 = value_pa2, .unheard = unheard };
    double reading_pa2 = detector_reading_pa2(&detector);
    return reading_pa2 > than_pa2 ? reading_pa2 : than_pa2;
}

static void count_hop(const struct band_stage *stage, struct band_group *group, bool is_used)
{
    for (int lane = 0; lane < BAND_LANES; lane++) {
        if (stage->hops_done < group->settled_hop[lane])
            continue;
        step(stage, group, lane);
        if (!is_used)
            continue;
        group->sum_pa2[lane] += group->hop_pa2[lane];
        group->hop_count[lane] += 1;
        group->fast_max_pa2[lane] =
            greater_reading(group->fast_pa2[lane], group->fast_unheard[lane], group->fast_max_pa2[lane]);
        group->slow_max_pa2[lane] =
            greater_reading(group->slow_pa2[lane], group->slow_unheard[lane], group->slow_max_pa2[lane]);
    }
}

void band_stage_run(struct band_stage *stage, const double *frames, size_t frame_count, bool is_used)
{
    for (; frame_count >= stage->hop_frames; frames += stage->hop_frames, frame_count -= stage->hop_frames) {
        run_hop(stage, frames, stage->hop_frames);
        for (size_t i = 0; i < stage->group_count; i++)
            count_hop(stage, &stage->groups[i], is_used);
        stage->hops_done += 1;
    }
    for (size_t i = 0; i < stage->group_count; i++)
        flush_tiny(&stage->groups[i]);
}
