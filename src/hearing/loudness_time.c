/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/loudness_time.h"

#include "base/absent.h"
#include "base/memory.h"
#include "hearing/fluctuation.h"
#include "hearing/loudness_bands.h"
#include "hearing/loudness_stationary.h"
#include "hearing/sharpness.h"
#include "hearing/sone_statistics.h"
#include "hearing/temporal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROWS_PER_TOTAL 2                                                      /* summed over bark every 1 ms */
#define ROWS_PER_VALUE 4                                                      /* of loudness that counts: every 2 ms */
#define ROWS_PER_PATTERN (LOUDNESS_FRAMES_PER_S / FLUCTUATION_PATTERNS_PER_S) /* every 8 ms */
#define VALUE_STEP_S (ROWS_PER_VALUE * 1.0 / LOUDNESS_FRAMES_PER_S)
#define MOST_HALVINGS 3 /* 384 kHz and more */
#define SETTLE_S 0.3

struct loudness {
    bool is_measuring; /* gain and rate allow it */
    bool is_diffuse;
    bool is_long_enough; /* for fluctuation strength */
    struct zwicker zwicker;
    struct loudness_bands bands;
    struct half_band outer[MOST_HALVINGS];
    struct core_decay decay;
    struct duration_weighting weighting;
    struct sone_statistics statistics;
    struct fluctuation *fluctuation;
    double core_sum[ZWICKER_CORE_COUNT]; /* towards the next pattern */
    size_t core_count;
    double pattern_sum[ZWICKER_PATTERN_COUNT];
    double power_sum_pa2[ZWICKER_BAND_COUNT];
    uint64_t row, power_count, pattern_count;
    uint64_t input_frames; /* fed so far */
    double first_counted;  /* inner frames before the first row that counts */
    double input_per_inner;
    double pending[LOUDNESS_CHUNK_FRAMES << MOST_HALVINGS];
    size_t pending_count, pending_size;
    double power_pa2[LOUDNESS_CHUNK_MOST_LEVELS][ZWICKER_BAND_COUNT];
    size_t row_end[LOUDNESS_CHUNK_MOST_LEVELS];
};

static void loudness_destroy(void *state)
{
    struct loudness *loudness = state;
    if (!loudness)
        return;
    fluctuation_free(loudness->fluctuation);
    free(loudness);
}

static void *loudness_create(const struct meter_setup *setup, struct err *err)
{
    struct loudness *loudness = memory_new(1, sizeof *loudness);
    if (!loudness) {
        err_memory(err);
        return NULL;
    }
    loudness->is_diffuse = setup->is_diffuse;
    loudness->is_measuring = setup->is_absolute && loudness_rate_is_enough(setup->sample_rate_hz);
    if (!loudness->is_measuring)
        return loudness;
    loudness->is_long_enough = (double)setup->frame_count >= FLUCTUATION_LEAST_USED_S * setup->sample_rate_hz;
    zwicker_init(&loudness->zwicker, setup->is_diffuse);
    loudness_bands_init(&loudness->bands, setup->sample_rate_hz);
    if (loudness->bands.outer_halvings > MOST_HALVINGS) {
        err_set(err, ERR_AUDIO, "a sample rate of %.0f Hz is too high for loudness; up to 639 kHz can be measured",
                setup->sample_rate_hz);
        loudness_destroy(loudness);
        return NULL;
    }
    loudness->fluctuation = fluctuation_new(err);
    if (!loudness->fluctuation) {
        loudness_destroy(loudness);
        return NULL;
    }
    for (int i = 0; i < loudness->bands.outer_halvings; i++) /* the last one has the narrowest transition */
        half_band_init(&loudness->outer[i], i + 1 < loudness->bands.outer_halvings ? 6 : 10, 80);
    core_decay_init(&loudness->decay);
    duration_weighting_init(&loudness->weighting);
    sone_statistics_init(&loudness->statistics);
    loudness->pending_size = (size_t)LOUDNESS_CHUNK_FRAMES << loudness->bands.outer_halvings;
    loudness->input_per_inner = (double)(1 << loudness->bands.outer_halvings);
    double preroll = (double)setup->preroll_frames;
    double settle = fmin(SETTLE_S * setup->sample_rate_hz, preroll + 0.25 * (double)setup->frame_count);
    loudness->first_counted = fmax(preroll, settle) / loudness->input_per_inner;
    return loudness;
}

/* Specific loudness of the mean core loudness over 8 ms: faster swings are not to fold onto slow ones. */
static void add_core(struct loudness *loudness, const double *core)
{
    for (size_t i = 0; i < ZWICKER_CORE_COUNT; i++)
        loudness->core_sum[i] += core[i];
    if (++loudness->core_count < ROWS_PER_PATTERN)
        return;
    double mean[ZWICKER_CORE_COUNT], pattern[ZWICKER_PATTERN_COUNT];
    for (size_t i = 0; i < ZWICKER_CORE_COUNT; i++) {
        mean[i] = loudness->core_sum[i] / ROWS_PER_PATTERN;
        loudness->core_sum[i] = 0;
    }
    loudness->core_count = 0;
    zwicker_loudness_sone(&loudness->zwicker, mean, pattern);
    for (size_t i = 0; i < ZWICKER_PATTERN_COUNT; i++)
        loudness->pattern_sum[i] += pattern[i];
    loudness->pattern_count++;
    fluctuation_add(loudness->fluctuation, pattern);
}

static void take_row(struct loudness *loudness, const double *power_pa2, bool counts)
{
    double core[TEMPORAL_LANES] = { 0 };
    zwicker_core(&loudness->zwicker, power_pa2, core);
    core_decay_step(&loudness->decay, core);
    uint64_t row = loudness->row++;
    double weighted_sone = ABSENT;
    if (row % ROWS_PER_TOTAL == 0) {
        double sone = zwicker_loudness_sone(&loudness->zwicker, core, NULL);
        weighted_sone = duration_weighting_step(&loudness->weighting, sone);
    }
    if (!counts)
        return;
    for (size_t band = 0; band < ZWICKER_BAND_COUNT; band++)
        loudness->power_sum_pa2[band] += power_pa2[band];
    loudness->power_count++;
    if (row % ROWS_PER_VALUE == 0)
        sone_statistics_add(&loudness->statistics, weighted_sone);
    add_core(loudness, core);
}

/* Runs pending_size samples. */
static void run_chunk(struct loudness *loudness, const double *pressure_pa, double most_frames)
{
    size_t count = loudness->pending_size;
    for (int i = 0; i < loudness->bands.outer_halvings; i++, count /= 2) {
        half_band_run(&loudness->outer[i], pressure_pa, count, loudness->pending);
        pressure_pa = loudness->pending;
    }
    size_t rows = loudness_bands_run(&loudness->bands, pressure_pa, loudness->power_pa2, loudness->row_end);
    for (size_t row = 0; row < rows; row++) {
        double end = (double)loudness->row_end[row];
        take_row(loudness, loudness->power_pa2[row], end > loudness->first_counted && end <= most_frames);
    }
}

static void loudness_feed(void *state, const double *pressure_pa, size_t frame_count)
{
    struct loudness *loudness = state;
    if (!loudness->is_measuring)
        return;
    loudness->input_frames += frame_count;
    while (frame_count > 0) {
        if (loudness->pending_count == 0 && frame_count >= loudness->pending_size) { /* where it is */
            run_chunk(loudness, pressure_pa, HUGE_VAL);
            pressure_pa += loudness->pending_size;
            frame_count -= loudness->pending_size;
            continue;
        }
        size_t room = loudness->pending_size - loudness->pending_count;
        size_t taken = frame_count < room ? frame_count : room;
        memcpy(loudness->pending + loudness->pending_count, pressure_pa, taken * sizeof *pressure_pa);
        loudness->pending_count += taken;
        pressure_pa += taken;
        frame_count -= taken;
        if (loudness->pending_count == loudness->pending_size) {
            loudness->pending_count = 0;
            run_chunk(loudness, loudness->pending, HUGE_VAL);
        }
    }
}

static bool fill_trace(const struct loudness *loudness, struct hearing_figures *hearing, struct err *err)
{
    double *trace = memory_new(SONE_TRACE_COUNT, sizeof *trace);
    if (!trace)
        return err_memory(err);
    hearing->loudness_sone = trace;
    hearing->loudness_count = sone_statistics_trace(&loudness->statistics, trace);
    hearing->loudness_step_s = VALUE_STEP_S * (double)loudness->statistics.per_point;
    return true;
}

static void fill_stationary(const struct loudness *loudness, struct hearing_figures *hearing)
{
    double power_pa2[ZWICKER_BAND_COUNT];
    struct stationary_loudness stationary;
    for (size_t band = 0; band < ZWICKER_BAND_COUNT; band++)
        power_pa2[band] = loudness->power_sum_pa2[band] / (double)loudness->power_count;
    loudness_stationary(power_pa2, loudness->is_diffuse, &stationary);
    hearing->loudness_stationary_sone = stationary.sone;
    hearing->loudness_level_phon = stationary.phon;
    hearing->sharpness_acum = sharpness_acum(stationary.pattern);
}

static bool loudness_finish(void *state, struct figures *figures, struct err *err)
{
    struct loudness *loudness = state;
    struct hearing_figures *hearing = &figures->hearing;
    hearing->is_diffuse = loudness->is_diffuse;
    if (!loudness->is_measuring)
        return true;
    /* what is left of the last chunk: filled up with silence, of which nothing is counted */
    if (loudness->pending_count > 0) {
        memset(loudness->pending + loudness->pending_count, 0,
               (loudness->pending_size - loudness->pending_count) * sizeof *loudness->pending);
        run_chunk(loudness, loudness->pending, (double)loudness->input_frames / loudness->input_per_inner);
    }
    if (loudness->power_count == 0 || loudness->pattern_count == 0 || loudness->statistics.count == 0)
        return true; /* shorter than one value: nothing can be said */
    fill_stationary(loudness, hearing);
    if (loudness->is_long_enough)
        hearing->fluctuation_vacil = fluctuation_vacil(loudness->fluctuation);
    hearing->loudness_mean_sone = sone_statistics_mean(&loudness->statistics);
    hearing->loudness_max_sone = sone_statistics_most(&loudness->statistics);
    hearing->loudness_n5_sone = sone_statistics_exceeded(&loudness->statistics, 5);
    hearing->loudness_n10_sone = sone_statistics_exceeded(&loudness->statistics, 10);
    for (size_t i = 0; i < ZWICKER_PATTERN_COUNT; i++)
        hearing->specific_sone_bark[i] = loudness->pattern_sum[i] / (double)loudness->pattern_count;
    return fill_trace(loudness, hearing, err);
}

const struct meter_kind loudness_meter = { "loudness", loudness_create, loudness_feed, loudness_finish,
                                           loudness_destroy };
