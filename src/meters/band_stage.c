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

bool band_stage_init(struct band_stage *stage, double rate_hz, size_t hop_frames, size_t piece_frames,
                     size_t band_count, struct err *err)
{
    *stage = (struct band_stage){ .rate_hz = rate_hz, .hop_frames = hop_frames, .band_count = band_count };
    struct detector detector;
    detector_init(&detector, DETECTOR_FAST_S, (double)hop_frames / rate_hz);
    stage->fast_keep = detector.keep;
    detector_init(&detector, DETECTOR_SLOW_S, (double)hop_frames / rate_hz);
    stage->slow_keep = detector.keep;
    stage->group_count = (band_count + LANES - 1) / LANES;
    stage->groups = memory_new(stage->group_count, sizeof *stage->groups);
    stage->frames = memory_new(BAND_STAGE_PAST + piece_frames, sizeof *stage->frames);
    stage->driving = memory_new(piece_frames, sizeof *stage->driving);
    stage->hop_pa2 = memory_new(piece_frames / hop_frames, sizeof *stage->hop_pa2);
    if (!stage->groups || !stage->frames || !stage->driving || !stage->hop_pa2)
        return err_memory(err);
    for (size_t i = 0; i < stage->group_count; i++)
        stage->groups[i].fast_unheard = stage->groups[i].slow_unheard = (lanes){ 1, 1, 1, 1 };
    return true;
}

void band_stage_clear(struct band_stage *stage)
{
    free(stage->groups);
    free(stage->frames);
    free(stage->driving);
    free(stage->hop_pa2);
    *stage = (struct band_stage){ 0 };
}

void band_stage_set(struct band_stage *stage, size_t index, const struct band_filter *filter, double settled_s)
{
    struct band_group *group = &stage->groups[index / LANES];
    size_t lane = index % LANES;
    for (int i = 0; i < BAND_SECTIONS; i++) {
        group->sections.a1[i][lane] = filter->a1[i];
        group->sections.a2[i][lane] = filter->a2[i];
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

/* One frame. A section takes what the one before it gave a frame ago, which only delays, so that all four are
 * independent and the processor need not wait for one after the other. */
static inline __attribute__((always_inline)) void step(struct band_sections *sections, double value, lanes *square_sum)
{
    const lanes frame = { value, value, value, value };
    lanes *before = sections->before, *before2 = sections->before2;
#pragma GCC unroll 4
    for (int k = BAND_SECTIONS - 1; k >= 0; k--) {
        lanes input = k > 0 ? before[k - 1] : frame;
        lanes now = (input - sections->a2[k] * before2[k]) - sections->a1[k] * before[k];
        before2[k] = before[k];
        before[k] = now;
    }
    *square_sum += before[BAND_SECTIONS - 1] * before[BAND_SECTIONS - 1];
}

static inline __attribute__((always_inline)) void
end_hop(const struct band_stage *stage, const struct band_group *group, size_t hop, const lanes *square_sum)
{
    stage->hop_pa2[hop] = *square_sum * group->power_scale * (1 / (double)stage->hop_frames);
}

/* One group through a piece, to the mean square of each hop. */
static inline __attribute__((always_inline)) void run_group(const struct band_stage *stage, struct band_group *group,
                                                            size_t hop_count)
{
    const double *driving = stage->driving;
    struct band_sections sections = group->sections;
    for (size_t h = 0; h < hop_count; h++) {
        lanes sum = { 0 };
        for (const double *end = driving + stage->hop_frames; driving < end; driving++)
            step(&sections, *driving, &sum);
        end_hop(stage, group, h, &sum);
    }
    group->sections = sections;
}

/* Two groups at a time, two frames of one stage beside one frame of the next: while the processor waits for one group
 * it works on the other. */
static inline __attribute__((always_inline)) void run_groups(const struct band_stage *stage, struct band_group *group,
                                                             const struct band_stage *next,
                                                             struct band_group *next_group, size_t hop_count)
{
    const double *driving = stage->driving, *next_driving = next->driving;
    struct band_sections sections = group->sections, next_sections = next_group->sections;
    for (size_t h = 0; h < hop_count; h++) {
        lanes sum = { 0 }, next_sum = { 0 };
        for (const double *end = next_driving + next->hop_frames; next_driving < end; next_driving++, driving += 2) {
            step(&sections, driving[0], &sum);
            step(&next_sections, *next_driving, &next_sum);
            step(&sections, driving[1], &sum);
        }
        end_hop(stage, group, h, &sum);
        end_hop(next, next_group, h, &next_sum);
    }
    group->sections = sections;
    next_group->sections = next_sections;
}

/* The greater of detector_reading_pa2, four abreast, and what was greatest so far. */
static inline __attribute__((always_inline)) void raise_to_reading(const lanes *value_pa2, const lanes *unheard,
                                                                   lanes *greatest_pa2)
{
    lanes average_pa2 = *value_pa2 / (1 - *unheard);
    lanes reading_pa2 = LANES_SELECT(*unheard <= DETECTOR_SETTLED, average_pa2, *value_pa2);
    *greatest_pa2 = LANES_LARGER(reading_pa2, *greatest_pa2);
}

/* Hops of the used part: the lanes that have settled count them and take them into their detectors. */
static inline __attribute__((always_inline)) void count_hops(const struct band_stage *stage, struct band_group *group,
                                                             size_t hop_count)
{
    const double fast_keep = stage->fast_keep, slow_keep = stage->slow_keep;
    const lanes one = { 1, 1, 1, 1 }, nothing = { 0 };
    struct band_group now = *group;
    for (size_t h = 0; h < hop_count; h++) {
        lanes_mask counts = stage->hops_done + (double)h >= now.settled_hop;
        lanes mean_pa2 = stage->hop_pa2[h];
        now.fast_pa2 = LANES_SELECT(counts, fast_keep * now.fast_pa2 + (1 - fast_keep) * mean_pa2, now.fast_pa2);
        now.slow_pa2 = LANES_SELECT(counts, slow_keep * now.slow_pa2 + (1 - slow_keep) * mean_pa2, now.slow_pa2);
        now.fast_unheard *= LANES_SELECT(counts, fast_keep * one, one);
        now.slow_unheard *= LANES_SELECT(counts, slow_keep * one, one);
        now.sum_pa2 += LANES_SELECT(counts, mean_pa2, nothing);
        now.hop_count += LANES_SELECT(counts, one, nothing);
        raise_to_reading(&now.fast_pa2, &now.fast_unheard, &now.fast_max_pa2);
        raise_to_reading(&now.slow_pa2, &now.slow_unheard, &now.slow_max_pa2);
    }
    *group = now;
}

/* A piece through one stage, or through two whose hops lie side by side. */
WITH_THREE_CLONES static void run_hops(struct band_stage *stage, struct band_stage *next, size_t hop_count,
                                       bool is_used)
{
    const size_t next_count = next ? next->group_count : 0;
    drive(stage->frames + BAND_STAGE_PAST, hop_count * stage->hop_frames, stage->driving);
    if (next)
        drive(next->frames + BAND_STAGE_PAST, hop_count * next->hop_frames, next->driving);
    for (size_t i = 0; i < stage->group_count || i < next_count; i++) {
        if (i < stage->group_count && i < next_count)
            run_groups(stage, &stage->groups[i], next, &next->groups[i], hop_count);
        else if (i < stage->group_count)
            run_group(stage, &stage->groups[i], hop_count);
        else
            run_group(next, &next->groups[i], hop_count);
        if (is_used && i < stage->group_count)
            count_hops(stage, &stage->groups[i], hop_count);
        if (is_used && i < next_count)
            count_hops(next, &next->groups[i], hop_count);
    }
}

static void flush_tiny(struct band_sections *sections)
{
    for (int k = 0; k < BAND_SECTIONS; k++)
        for (int lane = 0; lane < LANES; lane++)
            if (fabs(sections->before[k][lane]) < TINY && fabs(sections->before2[k][lane]) < TINY)
                sections->before[k][lane] = sections->before2[k][lane] = 0;
}

double *band_stage_room(struct band_stage *stage)
{
    return stage->frames + BAND_STAGE_PAST;
}

static void end_piece(struct band_stage *stage, size_t frame_count)
{
    stage->hops_done += (double)(frame_count / stage->hop_frames);
    memmove(stage->frames, stage->frames + frame_count, BAND_STAGE_PAST * sizeof *stage->frames);
    for (size_t i = 0; i < stage->group_count; i++)
        flush_tiny(&stage->groups[i].sections);
}

void band_stages_run(struct band_stage *stages, size_t stage_count, size_t frame_count, bool is_used)
{
    for (size_t s = 0; s < stage_count; s++) {
        struct band_stage *stage = &stages[s], *next = NULL;
        if (s + 1 < stage_count && stage->hop_frames == 2 * stages[s + 1].hop_frames)
            next = &stages[++s];
        run_hops(stage, next, frame_count / stage->hop_frames, is_used);
        end_piece(stage, frame_count);
        frame_count /= 2;
        if (next) {
            end_piece(next, frame_count);
            frame_count /= 2;
        }
    }
}
