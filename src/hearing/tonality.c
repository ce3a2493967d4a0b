/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hearing/hearing.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/num.h"
#include "hearing/audibility.h"
#include "hearing/aures.h"
#include "hearing/ecma.h"
#include "hearing/threshold.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

struct rated { /* what the methods say of each tone */
    double *hz;
    struct ecma_rating *ecma;
    struct audibility_rating *audible;
};

static bool rated_init(struct rated *rated, const struct rotor_figures *rotor, struct err *err)
{
    *rated = (struct rated){ memory_new(rotor->tone_count, sizeof *rated->hz),
                             memory_new(rotor->tone_count, sizeof *rated->ecma),
                             memory_new(rotor->tone_count, sizeof *rated->audible) };
    if (!rated->hz || !rated->ecma || !rated->audible)
        return err_memory(err);
    for (size_t i = 0; i < rotor->tone_count; i++)
        rated->hz[i] = rotor->tones[i].hz;
    return true;
}

static void rated_clear(struct rated *rated)
{
    free(rated->hz);
    free(rated->ecma);
    free(rated->audible);
}

/* Names the criterion by which the tone stands farthest above a limit. */
static void note_prominent(const struct ecma_rating *ecma, const struct tone *tone, double *most_db,
                           struct tonality *out)
{
    double hz = tone->hz;
    double by_ratio_db = ecma->is_prominent_by_ratio ? ecma->tone_to_noise_db - ecma_tone_to_noise_limit_db(hz) : -1;
    double by_prominence_db =
        ecma->is_prominent_by_prominence ? ecma->prominence_db - ecma_prominence_limit_db(hz) : -1;
    if (fmax(by_ratio_db, by_prominence_db) <= *most_db)
        return;
    *most_db = fmax(by_ratio_db, by_prominence_db);
    out->is_prominent = true;
    out->prominent_hz = hz;
    snprintf(out->prominent_source, sizeof out->prominent_source, "%s", tone->source);
    bool is_ratio = by_ratio_db >= by_prominence_db;
    char at[10], height[10], limit[10];
    num_format(at, sizeof at, hz, hz < 100 ? 1 : 0);
    num_format(height, sizeof height, is_ratio ? ecma->tone_to_noise_db : ecma->prominence_db, 1);
    num_format(limit, sizeof limit, is_ratio ? ecma_tone_to_noise_limit_db(hz) : ecma_prominence_limit_db(hz), 1);
    snprintf(out->criterion, sizeof out->criterion, "%s %s dB at %s Hz, prominent from %s dB (ECMA-418-1)",
             is_ratio ? "tone-to-noise ratio" : "prominence ratio", height, at, limit);
}

/* A tone below the threshold of hearing, or above the frequencies for which there is one, is not decisive however far
 * it stands out of the noise beside it. */
static bool is_heard(const struct ecma_rating *ecma, double hz)
{
    return ecma->is_above_threshold && is_given(hearing_threshold_db(hz));
}

static void summarise(const struct rated *rated, struct rotor_figures *rotor, struct tonality *out)
{
    double most_db = -0.5;
    size_t decisive = rotor->tone_count;
    for (size_t i = 0; i < rotor->tone_count; i++) {
        struct tone *tone = &rotor->tones[i];
        tone->tone_to_noise_db = rated->ecma[i].tone_to_noise_db;
        tone->prominence_db = rated->ecma[i].prominence_db;
        tone->is_prominent = rated->ecma[i].is_prominent_by_ratio || rated->ecma[i].is_prominent_by_prominence;
        tone->audibility_db = rated->audible[i].audibility_db;
        note_prominent(&rated->ecma[i], tone, &most_db, out);
        if (!is_given(tone->audibility_db) || !rated->audible[i].is_distinct || !rated->audible[i].is_primary ||
            !is_heard(&rated->ecma[i], tone->hz))
            continue;
        if (decisive == rotor->tone_count || tone->audibility_db > rotor->tones[decisive].audibility_db)
            decisive = i;
    }
    if (decisive == rotor->tone_count)
        return;
    out->audibility_db = rotor->tones[decisive].audibility_db;
    out->audibility_uncertainty_db = rated->audible[decisive].uncertainty_db;
    if (out->audibility_db > 0) {
        out->decisive_hz = rotor->tones[decisive].hz;
        snprintf(out->decisive_source, sizeof out->decisive_source, "%s", rotor->tones[decisive].source);
    }
}

bool tonality_rate(const struct spectrum *spectrum, bool is_absolute, struct rotor_figures *rotor, struct tonality *out,
                   struct err *err)
{
    *out = (struct tonality){ .audibility_db = ABSENT,
                              .audibility_uncertainty_db = ABSENT,
                              .adjustment_db = -1,
                              .decisive_hz = ABSENT,
                              .prominent_hz = ABSENT,
                              .aures_tu = ABSENT };
    if (spectrum->count == 0)
        return true;
    struct rated rated;
    bool done = rated_init(&rated, rotor, err) &&
                ecma_rate(spectrum, rated.hz, rotor->tone_count, is_absolute, rated.ecma, err) &&
                audibility_rate(spectrum, rated.hz, rotor->tone_count, rated.audible, err) &&
                (!is_absolute || aures_tonality(spectrum, rated.hz, rotor->tone_count, &out->aures_tu, err));
    if (done) {
        summarise(&rated, rotor, out);
        if (audibility_can_rate(spectrum))
            out->adjustment_db = is_given(out->audibility_db) ? tonal_adjustment_db(out->audibility_db) : 0;
    }
    rated_clear(&rated);
    return done;
}
