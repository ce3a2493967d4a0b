/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/band_stage.h"

#include "base/clones.h"
#include "base/memory.h"
#include "meters/detector.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* States below this are silence; without it they would go on to numbers that some processors treat slowly. */
#define TINY 1e-140

typedef long long lane_mask __attribute__((vector_size(BAND_LANES * sizeof(long long)), aligned(sizeof(double))));

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
    stage->input = memory_new(BAND_STAGE_PAST + hop_frames, sizeof *stage->input);
    stage->driving = memory_new(hop_frames, sizeof *stage->driving);
    if (!stage->groups || !stage->input || !stage->driving)
        return err_memory(err);
    for (size_t i = 0; i < stage->group_count; i++)
        stage->groups[i].fast_unheard = stage->groups[i].slow_unheard = (band_lanes){ 1, 1, 1, 1 };
    return true;
}

void band_stage_clear(struct band_stage *stage)
{
    free(stage->groups);
    free(stage->input);
    free(stage->driving);
    *stage = (struct band_stage){ 0 };
}

void band_stage_set(struct band_stage *stage, size_t index, const struct band_filter *filter, double settled_s)
{
    struct band_group *group = &stage->groups[index / BAND_LANES];
    size_t lane = index % BAND_LANES;
    for (int i = 0; i < BAND_SECTIONS; i++) {
        group->a1[i][lane] = filter->a1[i];
        group->a2[i][lane] = filter->a2[i];
    }
    group->power_scale[lane] = filter->power_scale;
    group->settled_hop[lane] = ceil(settled_s * stage->rate_hz / (double)stage->hop_frames);
}

/* (1 - z^-2)^4 of frames that BAND_STAGE_PAST others stand before. */
static inline __attribute__((always_inline)) void drive(const double *restrict frames, size_t frame_count,
                                                        double *restrict driving)
{
    for (size_t i = 0; i < frame_count; i++) {
        const double *at = frames + i;
        driving[i] = ((at[0] + at[-8]) - 4 * (at[-2] + at[-6])) + 6 * at[-4];
    }
}

/* One hop of one group. A section takes what the one before it gave a frame ago, which only delays, so that all four
 * are independent and the processor need not wait for one after the other. */
static inline __attribute__((always_inline)) void run_group(struct band_group *group, const double *driving,
                                                            size_t frame_count)
{
    band_lanes a1[BAND_SECTIONS], a2[BAND_SECTIONS], before[BAND_SECTIONS], before2[BAND_SECTIONS], sum = { 0 };
    for (int k = 0; k < BAND_SECTIONS; k++) {
        a1[k] = group->a1[k];
        a2[k] = group->a2[k];
        before[k] = group->before[k];
        before2[k] = group->before2[k];
    }
    for (size_t i = 0; i < frame_count; i++) {
        const band_lanes frame = { driving[i], driving[i], driving[i], driving[i] };
        for (int k = BAND_SECTIONS - 1; k >= 0; k--) {
            band_lanes now = ((k > 0 ? before[k - 1] : frame) - a2[k] * before2[k]) - a1[k] * before[k];
            before2[k] = before[k];
            before[k] = now;
        }
        sum += before[BAND_SECTIONS - 1] * before[BAND_SECTIONS - 1];
    }
    for (int k = 0; k < BAND_SECTIONS; k++) {
        group->before[k] = before[k];
        group->before2[k] = before2[k];
    }
    group->hop_pa2 = sum * group->power_scale * (1 / (double)frame_count);
}

/* Lane by lane; a macro, since what vectors are passed in depends on the processor. */
#define CHOOSE(mask, yes, no) ((band_lanes)(((mask) & (lane_mask)(yes)) | (~(mask) & (lane_mask)(no))))

/* The greater of detector_reading_pa2, four abreast, and what was greatest so far. */
static inline __attribute__((always_inline)) void raise_to_reading(const band_lanes *value_pa2,
                                                                   const band_lanes *unheard, band_lanes *greatest_pa2)
{
    band_lanes average_pa2 = *value_pa2 / (1 - *unheard);
    band_lanes reading_pa2 = CHOOSE(*unheard <= DETECTOR_SETTLED, average_pa2, *value_pa2);
    *greatest_pa2 = CHOOSE(reading_pa2 > *greatest_pa2, reading_pa2, *greatest_pa2);
}

/* The lanes that have settled take the hop into their detectors, and count it where it is used. */
static inline __attribute__((always_inline)) void count_hop(const struct band_stage *stage, struct band_group *group,
                                                            bool is_used)
{
    const double fast_keep = stage->fast_keep, slow_keep = stage->slow_keep;
    lane_mask counts = stage->hops_done >= group->settled_hop;
    band_lanes mean_pa2 = group->hop_pa2, one = { 1, 1, 1, 1 }, nothing = { 0 };
    group->fast_pa2 = CHOOSE(counts, fast_keep * group->fast_pa2 + (1 - fast_keep) * mean_pa2, group->fast_pa2);
    group->slow_pa2 = CHOOSE(counts, slow_keep * group->slow_pa2 + (1 - slow_keep) * mean_pa2, group->slow_pa2);
    group->fast_unheard *= CHOOSE(counts, fast_keep * one, one);
    group->slow_unheard *= CHOOSE(counts, slow_keep * one, one);
    if (!is_used)
        return;
    group->sum_pa2 += CHOOSE(counts, mean_pa2, nothing);
    group->hop_count += CHOOSE(counts, one, nothing);
    raise_to_reading(&group->fast_pa2, &group->fast_unheard, &group->fast_max_pa2);
    raise_to_reading(&group->slow_pa2, &group->slow_unheard, &group->slow_max_pa2);
}

WITH_CLONES static void run_hop(struct band_stage *stage, bool is_used)
{
    drive(stage->input + BAND_STAGE_PAST, stage->hop_frames, stage->driving);
    for (size_t i = 0; i < stage->group_count; i++) {
        run_group(&stage->groups[i], stage->driving, stage->hop_frames);
        count_hop(stage, &stage->groups[i], is_used);
    }
}

static void flush_tiny(struct band_group *group)
{
    for (int k = 0; k < BAND_SECTIONS; k++)
        for (int lane = 0; lane < BAND_LANES; lane++)
            if (fabs(group->before[k][lane]) < TINY && fabs(group->before2[k][lane]) < TINY)
                group->before[k][lane] = group->before2[k][lane] = 0;
}

void band_stage_run(struct band_stage *stage, const double *frames, size_t frame_count, bool is_used)
{
    const size_t hop = stage->hop_frames;
    for (; frame_count >= hop; frames += hop, frame_count -= hop) {
        memcpy(stage->input + BAND_STAGE_PAST, frames, hop * sizeof *frames);
        run_hop(stage, is_used);
        memmove(stage->input, stage->input + hop, BAND_STAGE_PAST * sizeof *stage->input);
        stage->hops_done += 1;
    }
    for (size_t i = 0; i < stage->group_count; i++)
        flush_tiny(&stage->groups[i]);
}
