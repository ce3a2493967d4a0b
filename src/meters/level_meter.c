/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/level_meter.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "meters/chunk.h"
#include "meters/detector.h"
#include "meters/peak.h"
#include "meters/percentile.h"
#include "meters/sums.h"
#include "meters/weighting.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define HOP_S 0.0005
#define SAMPLE_S 0.008     /* between two values of the percentiles */
#define PIECE_FRAMES 1024  /* at most; short, so that what is made of a piece stays near */
#define MARGIN PEAK_MARGIN /* not less than CASCADE_MARGIN */
#define SETTLING_S 0.5     /* of C and Z, from the first frame of the preroll on */

struct level_state {
    struct chunk chunk;
    struct weighting_filter weighting;
    struct detector fast, slow;
    struct peak peak;
    struct percentile percentile;
    double *pressure_pa, *c_pa;     /* one piece each, behind MARGIN frames of the past */
    double *a_pa, *z_pa, *hop_sums; /* one piece each; sums of the squares of a_pa's hops */
    double sample_rate_hz;
    size_t hop_frames, hops_a_sample, hops_to_sample;
    double a_sum, c_sum, z_sum; /* Pa^2 times frames, of the used part */
    double fast_max_pa2, fast_min_pa2, slow_max_pa2;
    uint64_t used_frames, settling_left, settled_frames; /* settled: those that C and Z count */
};

static void level_destroy(void *memory)
{
    struct level_state *state = memory;
    if (!state)
        return;
    chunk_clear(&state->chunk);
    free(state->pressure_pa);
    free(state->a_pa);
    free(state->c_pa);
    free(state->z_pa);
    free(state->hop_sums);
    free(state);
}

static void take_reading(struct level_state *state)
{
    double fast_pa2 = detector_reading_pa2(&state->fast), slow_pa2 = detector_reading_pa2(&state->slow);
    state->fast_max_pa2 = fast_pa2 > state->fast_max_pa2 ? fast_pa2 : state->fast_max_pa2;
    state->slow_max_pa2 = slow_pa2 > state->slow_max_pa2 ? slow_pa2 : state->slow_max_pa2;
    if (!detector_has_settled(&state->fast))
        return;
    state->fast_min_pa2 = fast_pa2 < state->fast_min_pa2 ? fast_pa2 : state->fast_min_pa2;
    if (--state->hops_to_sample == 0) {
        percentile_add(&state->percentile, pa2_to_db(fast_pa2));
        state->hops_to_sample = state->hops_a_sample;
    }
}

/* The hops of a piece of the used part. Only whole hops move the detectors; what is left at the end of the recording is
 * less than half a millisecond. */
static void run_hops(struct level_state *state, const double *a_pa, size_t frame_count)
{
    const size_t hop = state->hop_frames, hop_count = frame_count / hop, whole = hop_count * hop;
    const double share = 1 / (double)hop;
    sums_of_hops(a_pa, hop, hop_count, state->hop_sums);
    for (size_t h = 0; h < hop_count; h++) {
        double sum = state->hop_sums[h];
        detector_step(&state->fast, share * sum);
        detector_step(&state->slow, share * sum);
        state->a_sum += sum;
        take_reading(state);
    }
    state->a_sum += sum_of_squares(a_pa + whole, frame_count - whole);
}

/* C and Z let low frequencies through and so take longer to forget that the recording has a beginning. */
static void count_settled(struct level_state *state, const double *c_pa, const double *z_pa, size_t frame_count)
{
    size_t skip = state->settling_left < frame_count ? (size_t)state->settling_left : frame_count;
    size_t count = frame_count - skip;
    state->settling_left -= skip;
    state->settled_frames += count;
    peak_run(&state->peak, c_pa + skip, count);
    state->c_sum += sum_of_squares(c_pa + skip, count);
    state->z_sum += sum_of_squares(z_pa + skip, count);
}

static void keep_past(double *piece, size_t frame_count)
{
    memmove(piece, piece + frame_count, MARGIN * sizeof *piece);
}

/* The last piece is filled up with zeros, behind which nothing comes. */
static void process_piece(void *memory, const double *pressure_pa, size_t frame_count, bool is_used)
{
    struct level_state *state = memory;
    double *own_pa = state->pressure_pa + MARGIN, *c_pa = state->c_pa + MARGIN;
    size_t whole = (frame_count + LANES - 1) / LANES * LANES;
    memcpy(own_pa, pressure_pa, frame_count * sizeof *own_pa);
    for (size_t i = frame_count; i < whole; i++)
        own_pa[i] = 0;
    weighting_run(&state->weighting, own_pa, whole, state->a_pa, c_pa, state->z_pa);
    if (is_used) {
        run_hops(state, state->a_pa, frame_count);
        count_settled(state, c_pa, state->z_pa, frame_count);
        state->used_frames += frame_count;
    }
    keep_past(state->pressure_pa, frame_count);
    keep_past(state->c_pa, frame_count);
}

static size_t at_least_one(double frames)
{
    return frames < 1 ? 1 : (size_t)frames;
}

static void *level_create(const struct meter_setup *setup, struct err *err)
{
    struct level_state *state = memory_new(1, sizeof *state);
    if (!state) {
        err_memory(err);
        return NULL;
    }
    state->sample_rate_hz = setup->sample_rate_hz;
    state->hop_frames = at_least_one(HOP_S * setup->sample_rate_hz);
    size_t grain = LANES * state->hop_frames; /* whole hops, and what the weighting asks for */
    size_t piece_frames = PIECE_FRAMES / grain * grain;
    state->pressure_pa = memory_new(MARGIN + piece_frames, sizeof *state->pressure_pa);
    state->c_pa = memory_new(MARGIN + piece_frames, sizeof *state->c_pa);
    state->a_pa = memory_new(piece_frames, sizeof *state->a_pa);
    state->z_pa = memory_new(piece_frames, sizeof *state->z_pa);
    state->hop_sums = memory_new(piece_frames / state->hop_frames, sizeof *state->hop_sums);
    bool is_fine = state->pressure_pa && state->c_pa && state->a_pa && state->z_pa && state->hop_sums;
    if (!(is_fine || err_memory(err)) || !weighting_init(&state->weighting, setup->sample_rate_hz, err) ||
        !chunk_init(&state->chunk, piece_frames, setup->preroll_frames, process_piece, state, err)) {
        level_destroy(state);
        return NULL;
    }
    double hop_s = (double)state->hop_frames / setup->sample_rate_hz;
    detector_init(&state->fast, DETECTOR_FAST_S, hop_s);
    detector_init(&state->slow, DETECTOR_SLOW_S, hop_s);
    peak_init(&state->peak);
    state->hops_a_sample = state->hops_to_sample = at_least_one(SAMPLE_S / hop_s);
    state->fast_min_pa2 = HUGE_VAL;
    double settling = SETTLING_S * setup->sample_rate_hz - (double)setup->preroll_frames;
    state->settling_left = (uint64_t)fmax(0, fmin(settling, 0.5 * (double)setup->frame_count));
    return state;
}

static void level_feed(void *memory, const double *pressure_pa, size_t frame_count)
{
    struct level_state *state = memory;
    chunk_feed(&state->chunk, pressure_pa, frame_count);
}

static bool level_finish(void *memory, struct figures *figures, struct err *err)
{
    struct level_state *state = memory;
    (void)err;
    chunk_flush(&state->chunk);
    struct levels *levels = &figures->levels;
    figures->highest_hz = fmin(20000, 0.45 * state->sample_rate_hz);
    if (state->used_frames == 0)
        return true;
    double frames = (double)state->used_frames;
    levels->laeq_db = pa2_to_db(state->a_sum / frames);
    levels->lceq_db = pa2_to_db(state->c_sum / (double)state->settled_frames);
    levels->lzeq_db = pa2_to_db(state->z_sum / (double)state->settled_frames);
    levels->lae_db = levels->laeq_db + power_ratio_to_db(frames / state->sample_rate_hz);
    levels->lafmax_db = pa2_to_db(state->fast_max_pa2);
    levels->lasmax_db = pa2_to_db(state->slow_max_pa2);
    levels->lafmin_db = isfinite(state->fast_min_pa2) ? pa2_to_db(state->fast_min_pa2) : ABSENT;
    levels->lcpeak_db = pa2_to_db(state->peak.greatest * state->peak.greatest);
    levels->la10_db = percentile_exceeded_db(&state->percentile, 10);
    levels->la50_db = percentile_exceeded_db(&state->percentile, 50);
    levels->la90_db = percentile_exceeded_db(&state->percentile, 90);
    return true;
}

const struct meter_kind level_meter = {
    .name = "levels", .create = level_create, .feed = level_feed, .finish = level_finish, .destroy = level_destroy
};
