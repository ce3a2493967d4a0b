/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/band_meter.h"

#include "base/clones.h"
#include "base/memory.h"
#include "base/units.h"
#include "meters/band.h"
#include "meters/band_stage.h"
#include "meters/chunk.h"
#include "meters/decimator.h"

#include <math.h>
#include <stdlib.h>

#define PIECE_FRAMES 4096
#define STAGES_MAX 13          /* 4096 is 2^12 */
#define STAGE_HIGHEST_EDGE 0.3 /* of a stage's rate, but for the first stage */
#define HOP_S 0.003
#define FADE_S 0.25
#define SETTLING 2.5 /* over the bandwidth, after the fade */

struct band_state {
    struct chunk chunk;
    struct band *bands;
    size_t band_count;
    size_t *stage_of, *lane_of; /* of each band */
    struct band_stage stages[STAGES_MAX];
    struct decimator decimators[STAGES_MAX];
    double *half[STAGES_MAX][2]; /* memory of the decimators */
    size_t stage_count;
    double sample_rate_hz, first_pa;
    uint64_t used_frames, processed_frames, fade_frames; /* processed: from the chunk's lead on */
    bool is_started;
    int per_octave;
};

static void band_destroy(void *memory)
{
    struct band_state *state = memory;
    if (!state)
        return;
    chunk_clear(&state->chunk);
    for (size_t i = 0; i < STAGES_MAX; i++) {
        band_stage_clear(&state->stages[i]);
        free(state->half[i][0]);
        free(state->half[i][1]);
    }
    free(state->bands);
    free(state->stage_of);
    free(state->lane_of);
    free(state);
}

WITH_CLONES static void subtract(const double *restrict from, double offset, size_t count, double *restrict to)
{
    for (size_t i = 0; i < count; i++)
        to[i] = from[i] - offset;
}

/* A sound that is suddenly there rings in every band, far longer and louder beside a strong tone than the band's own
 * sound; one that comes in gradually does not. The lead before it is zero. */
static void fade_in(struct band_state *state, double *pressure_pa, size_t frame_count)
{
    const uint64_t lead = state->chunk.lead_frames;
    for (size_t i = 0; i < frame_count && state->processed_frames + i < lead + state->fade_frames; i++) {
        double share = (double)(state->processed_frames + i - lead) / (double)state->fade_frames;
        if (state->processed_frames + i >= lead)
            pressure_pa[i] *= share - sin(2 * PI * share) / (2 * PI);
    }
    state->processed_frames += frame_count;
}

/* The signal is taken to have stood at its first value for ever before: an offset makes no click. All pieces but the
 * last have PIECE_FRAMES, so every stage has whole hops but at the very end. */
static void process_piece(void *memory, const double *pressure_pa, size_t frame_count, bool is_used)
{
    struct band_state *state = memory;
    double *own_pa = band_stage_room(&state->stages[0]);
    subtract(pressure_pa, state->first_pa, frame_count, own_pa);
    fade_in(state, own_pa, frame_count);
    if (is_used)
        state->used_frames += frame_count;
    for (size_t s = 0; s + 1 < state->stage_count; s++)
        decimator_run(&state->decimators[s], band_stage_room(&state->stages[s]), frame_count >> s,
                      band_stage_room(&state->stages[s + 1]));
    band_stages_run(state->stages, state->stage_count, frame_count, is_used);
}

/* The deepest stage whose rate still holds the band. */
static size_t stage_of_band(const struct band *band, double sample_rate_hz)
{
    size_t stage = 0;
    while (stage + 1 < STAGES_MAX && band->high_hz <= STAGE_HIGHEST_EDGE * ldexp(sample_rate_hz, -(int)stage - 1))
        stage++;
    return stage;
}

struct band_response band_meter_response(const struct band *band, double sample_rate_hz)
{
    double rate_hz = ldexp(sample_rate_hz, -(int)stage_of_band(band, sample_rate_hz));
    return band_response_design(band->low_hz, band->high_hz, rate_hz);
}

static bool make_bands(struct band_state *state, int per_octave, struct err *err)
{
    int first = 0;
    band_range(per_octave, state->sample_rate_hz, &first, &state->band_count);
    state->bands = memory_new(state->band_count, sizeof *state->bands);
    state->stage_of = memory_new(state->band_count, sizeof *state->stage_of);
    state->lane_of = memory_new(state->band_count, sizeof *state->lane_of);
    if (!state->bands || !state->stage_of || !state->lane_of)
        return err_memory(err);
    size_t count[STAGES_MAX] = { 0 };
    for (size_t i = 0; i < state->band_count; i++) {
        state->bands[i] = band_make(per_octave, first + (int)i);
        state->stage_of[i] = stage_of_band(&state->bands[i], state->sample_rate_hz);
        state->lane_of[i] = count[state->stage_of[i]]++;
        if (state->stage_of[i] + 1 > state->stage_count)
            state->stage_count = state->stage_of[i] + 1;
    }
    for (size_t s = 0; s < state->stage_count; s++) {
        double rate_hz = ldexp(state->sample_rate_hz, -(int)s);
        size_t hop_frames = 1, most = PIECE_FRAMES >> s;
        while (2 * hop_frames <= most && 2 * (double)hop_frames <= HOP_S * rate_hz)
            hop_frames *= 2;
        if (!band_stage_init(&state->stages[s], rate_hz, hop_frames, most, count[s], err))
            return false;
    }
    return true;
}

/* `preroll_s` and the used part tell how long a band may settle. */
static void set_filters(struct band_state *state, double preroll_s, double used_s)
{
    double lead_s = (double)state->chunk.lead_frames / state->sample_rate_hz;
    double most_s = preroll_s + 0.5 * used_s, fade_s = fmin(FADE_S, 0.5 * most_s);
    state->fade_frames = (uint64_t)(fade_s * state->sample_rate_hz);
    for (size_t i = 0; i < state->band_count; i++) {
        const struct band *band = &state->bands[i];
        struct band_stage *stage = &state->stages[state->stage_of[i]];
        struct band_filter filter = band_filter_design(band->low_hz, band->high_hz, stage->rate_hz);
        double settling_s = fmin(fade_s + SETTLING / (band->high_hz - band->low_hz), most_s);
        band_stage_set(stage, state->lane_of[i], &filter, lead_s + settling_s);
    }
}

static bool make_memory(struct band_state *state, struct err *err)
{
    bool is_fine = true;
    for (size_t s = 0; s + 1 < state->stage_count; s++) {
        size_t count = DECIMATOR_MARGIN + (PIECE_FRAMES >> (s + 1)) + 1;
        for (size_t i = 0; i < 2; i++) {
            state->half[s][i] = memory_new(count, sizeof *state->half[s][i]);
            is_fine = is_fine && state->half[s][i];
        }
        decimator_init(&state->decimators[s], state->half[s][0], state->half[s][1]);
    }
    return is_fine ? true : err_memory(err);
}

static void *band_create(const struct meter_setup *setup, int per_octave, struct err *err)
{
    struct band_state *state = memory_new(1, sizeof *state);
    if (!state) {
        err_memory(err);
        return NULL;
    }
    state->sample_rate_hz = setup->sample_rate_hz;
    state->per_octave = per_octave;
    if (per_octave == 0)
        return state;
    if (!make_bands(state, per_octave, err) || !make_memory(state, err) ||
        !chunk_init(&state->chunk, PIECE_FRAMES, setup->preroll_frames, process_piece, state, err)) {
        band_destroy(state);
        return NULL;
    }
    set_filters(state, (double)setup->preroll_frames / setup->sample_rate_hz,
                (double)setup->frame_count / setup->sample_rate_hz);
    return state;
}

static void *third_octave_create(const struct meter_setup *setup, struct err *err)
{
    return band_create(setup, 3, err);
}

static void *fraction_create(const struct meter_setup *setup, struct err *err)
{
    int asked = setup->bands_per_octave;
    if (asked != 0 && !band_fraction_is_known(asked)) {
        err_set(err, ERR_RANGE, "bands of 1/%d octave; 1/1, 1/3, 1/6, 1/12 and 1/24 are known", asked);
        return NULL;
    }
    return band_create(setup, asked == 3 ? 0 : asked, err);
}

static void band_feed(void *memory, const double *pressure_pa, size_t frame_count)
{
    struct band_state *state = memory;
    if (state->per_octave == 0 || frame_count == 0)
        return;
    if (!state->is_started) {
        state->is_started = true;
        state->first_pa = pressure_pa[0];
    }
    chunk_feed(&state->chunk, pressure_pa, frame_count);
}

static void read_band(const struct band_state *state, size_t index, struct band *band)
{
    const struct band_group *group = &state->stages[state->stage_of[index]].groups[state->lane_of[index] / LANES];
    size_t lane = state->lane_of[index] % LANES;
    double used_s = (double)state->used_frames / state->sample_rate_hz;
    if (!(used_s * (band->high_hz - band->low_hz) >= 1) || !(group->hop_count[lane] > 0))
        return;
    band->level_db = pa2_to_db(group->sum_pa2[lane] / group->hop_count[lane]);
    band->fmax_db = pa2_to_db(group->fast_max_pa2[lane]);
    band->smax_db = pa2_to_db(group->slow_max_pa2[lane]);
}

static bool band_finish(struct band_state *state, struct bands *out, struct err *err)
{
    chunk_flush(&state->chunk);
    struct band *items = memory_new(state->band_count, sizeof *items);
    if (!items)
        return err_memory(err);
    for (size_t i = 0; i < state->band_count; i++) {
        items[i] = state->bands[i];
        read_band(state, i, &items[i]);
    }
    free(out->items);
    *out = (struct bands){ .per_octave = state->per_octave, .items = items, .count = state->band_count };
    return true;
}

static bool third_octave_finish(void *memory, struct figures *figures, struct err *err)
{
    return band_finish(memory, &figures->third_octave, err);
}

static bool fraction_finish(void *memory, struct figures *figures, struct err *err)
{
    struct band_state *state = memory;
    return state->per_octave == 0 || band_finish(state, &figures->bands, err);
}

const struct meter_kind third_octave_meter = { .name = "third octaves",
                                               .create = third_octave_create,
                                               .feed = band_feed,
                                               .finish = third_octave_finish,
                                               .destroy = band_destroy };
const struct meter_kind fraction_meter = {
    .name = "bands", .create = fraction_create, .feed = band_feed, .finish = fraction_finish, .destroy = band_destroy
};
