/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_COMPARE_MOVING_H
#define THRUM_TESTS_COMPARE_MOVING_H

/* Rotors whose blade tones move through the third octaves with the speed, over noise; each tone and the noise has a
 * law of thrust and a scatter of its own. What a band's filter passes of a tone is what the meter says of
 * itself, which tests/meters/bands.c holds to its readings. */

#include "simulate.h"

#include "meters/band.h"
#include "meters/band_meter.h"

#define MOVING_RATE_HZ 24000
#define MOVING_TONES 3
#define MOVING_LOWEST (-10) /* the bands judged, by index of IEC 61260-1: 100 Hz to 3.15 kHz */
#define MOVING_HIGHEST 5
#define MOVING_BANDS (MOVING_HIGHEST - MOVING_LOWEST + 1)
#define MOVING_FRAMES (MOVING_RATE_HZ * 3 / 2)

static const char *const moving_names[INVENT_VARIANTS] = { "stock2", "swept3", "slow5", "wide4" };
static const int moving_blades[INVENT_VARIANTS] = { 2, 3, 5, 4 };

struct moving {
    struct truth laws[1 + MOVING_TONES]; /* of the white noise up to half the rate, and of each tone */
    double blade_hz;                     /* at 1 N; it rises as the root of thrust */
};

/* As laws from sound have them: levels of a bench, a range of 1 to 1.8 up to 4.5 to 8 N. */
static inline struct truth moving_law(struct random *random, enum truth_kind kind, double low_lg, double high_lg)
{
    return (struct truth){ .kind = kind,
                           .low_lg = low_lg,
                           .high_lg = high_lg,
                           .level_db = random_between(random, 55, 63),
                           .slope_db = random_between(random, 20, 35),
                           .bend_db = random_between(random, 0.5, 3) * (random_uniform(random) < 0.5 ? -1 : 1),
                           .scatter_db = random_between(random, 0.2, 1.5) };
}

static inline double moving_blade_hz(const struct moving *moving, double thrust_n)
{
    return moving->blade_hz * sqrt(thrust_n);
}

static inline double moving_edge_hz(int index, double steps)
{
    return 1000 * db_to_power_ratio(index + steps);
}

/* Noise of a third octave in its effective bandwidth, which is the nominal one (IEC 61260-1:2014, 5.12), per white
 * noise. */
static inline double moving_noise_share(int index)
{
    return (moving_edge_hz(index, 0.5) - moving_edge_hz(index, -0.5)) / (MOVING_RATE_HZ / 2.0);
}

static inline double moving_passed(int index, double hz)
{
    struct band band = band_make(3, index);
    struct band_response response = band_meter_response(&band, MOVING_RATE_HZ);
    return band_response_ratio(&response, hz);
}

static inline double moving_level_db(const struct moving *moving, int index, double thrust_n)
{
    double sum = db_to_power_ratio(truth_level_db(&moving->laws[0], thrust_n)) * moving_noise_share(index);
    for (int k = 1; k <= MOVING_TONES; k++)
        sum += db_to_power_ratio(truth_level_db(&moving->laws[k], thrust_n)) *
               moving_passed(index, k * moving_blade_hz(moving, thrust_n));
    return power_ratio_to_db(sum);
}

/* One run by its figures: bands, tones, speed. Noise of that length scatters by itself (2 B T degrees of freedom). */
static inline void moving_run(struct random *random, struct invented *invented, size_t variant,
                              const struct moving *moving, double thrust_n)
{
    double energies[MOVING_BANDS], levels_db[MOVING_BANDS], hz = moving_blade_hz(moving, thrust_n);
    for (int b = 0; b < MOVING_BANDS; b++) {
        int index = MOVING_LOWEST + b;
        double level_db =
            truth_level_db(&moving->laws[0], thrust_n) + moving->laws[0].scatter_db * random_normal(random);
        double count = (moving_edge_hz(index, 0.5) - moving_edge_hz(index, -0.5)) * MOVING_FRAMES / MOVING_RATE_HZ;
        energies[b] = db_to_power_ratio(level_db) * moving_noise_share(index) *
                      fmax(0.1, 1 + random_normal(random) / sqrt(count));
    }
    struct run_result *run = invent_run(invented, variant, thrust_n, 70);
    run->sample_rate_hz = MOVING_RATE_HZ;
    run->rotor.rpm_measured = hz_to_rpm(hz / moving_blades[variant]);
    run->rotor.tones = memory_new(MOVING_TONES, sizeof *run->rotor.tones);
    if (!run->rotor.tones)
        abort();
    run->rotor.tone_count = MOVING_TONES;
    for (int k = 1; k <= MOVING_TONES; k++) {
        double level_db =
            truth_level_db(&moving->laws[k], thrust_n) + moving->laws[k].scatter_db * random_normal(random);
        struct tone *tone = &run->rotor.tones[k - 1];
        *tone = (struct tone){ .hz = k * hz, .level_db = level_db, .shaft_order = k * moving_blades[variant] };
        snprintf(tone->source, sizeof tone->source, "blade %d", k);
        for (int b = 0; b < MOVING_BANDS; b++)
            energies[b] += db_to_power_ratio(level_db) * moving_passed(MOVING_LOWEST + b, k * hz);
    }
    for (int b = 0; b < MOVING_BANDS; b++)
        levels_db[b] = power_ratio_to_db(energies[b]);
    invent_bands(run, MOVING_LOWEST, levels_db, MOVING_BANDS);
}

/* 2 to 4 variants, each with a range, 3 to 8 points and 1 to 4 repeats of its own. */
static inline struct invented *moving_campaign(struct random *random, enum truth_kind kind, struct moving *rotors)
{
    struct invented *invented = invent_new(2 + (size_t)random_between(random, 0, 3));
    for (size_t v = 0; v < invented->campaign.variant_count; v++) {
        double low_lg = log10(random_between(random, 1.0, 1.8)), high_lg = log10(random_between(random, 4.5, 8.0));
        for (int k = 0; k <= MOVING_TONES; k++)
            rotors[v].laws[k] = moving_law(random, kind, low_lg, high_lg);
        rotors[v].blade_hz = random_between(random, 90, 180);
        invented->variants[v].blades = moving_blades[v];
        int points = 3 + (int)random_between(random, 0, 6), repeats = 1 + (int)random_between(random, 0, 4);
        for (int p = 0; p < points; p++)
            for (int r = 0; r < repeats; r++)
                moving_run(random, invented, v, &rotors[v],
                           db_to_power_ratio(10 * (low_lg + (high_lg - low_lg) * p / (points - 1))));
    }
    return invented;
}

static inline double moving_truth(const struct comparison *item, const void *context)
{
    const struct moving *rotors = context;
    size_t v = 0;
    if (item->at != OPERATING_THRUST_N || strcmp(item->quantity, "third_octave_db") != 0)
        return ABSENT;
    int index = (int)round(10 * log10(item->band_hz / 1000));
    if (index < MOVING_LOWEST || index > MOVING_HIGHEST)
        return ABSENT;
    while (strcmp(moving_names[v], item->variant) != 0)
        v++;
    return moving_level_db(&rotors[v], index, item->value) - moving_level_db(&rotors[0], index, item->value);
}

static inline void moving_one(struct random *random, enum truth_kind kind, struct coverage *coverage)
{
    struct moving rotors[INVENT_VARIANTS];
    struct invented *invented = moving_campaign(random, kind, rotors);
    struct comparisons list = invent_compare(invented, 0);
    coverage_add(coverage, &list, moving_truth, rotors);
    comparisons_clear(&list);
    invent_free(invented);
}

#endif
