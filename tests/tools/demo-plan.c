/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo-plan.h"

#include "base/units.h"

#include <math.h>
#include <stdio.h>

enum { STOCK2, SWEPT3, SLOW5 };

const struct demo_variant demo_variants[] = {
    [STOCK2] = { .name = "stock2",
                 .blades = 2,
                 .reference_rpm = 4200,
                 .thrust_n_per_rpm2 = 1.9 / (3600.0 * 3600.0),
                 .power_w_per_rpm3 = 37.0 / (4524.0 * 4524.0 * 4524.0),
                 .blade_db = { 56, 49, 43.5, 39, 35.5, 32.5, 30, 28 },
                 .blade_db_per_decade = 75,
                 .unevenness_pct = 5,
                 .noise = { 22, 1800, 3, 2 },
                 .part = { "motor electrical 6", 42, 49, 60 },
                 .motor_turns_per_turn = 1 },
    [SWEPT3] = { .name = "swept3",
                 .blades = 3,
                 .reference_rpm = 4200,
                 .thrust_n_per_rpm2 = 4.5 / (4800.0 * 4800.0),
                 .power_w_per_rpm3 = 38.0 / (3919.0 * 3919.0 * 3919.0),
                 .blade_db = { 54, 48, 42.5, 37, 32 },
                 .blade_db_per_decade = 75,
                 .noise = { 25, 1500, 3, 2.2 },
                 .motor_turns_per_turn = 1 },
    [SLOW5] = { .name = "slow5",
                .blades = 5,
                .reference_rpm = 2040,
                .thrust_n_per_rpm2 = 4.4 / (2460.0 * 2460.0),
                .power_w_per_rpm3 = 23.0 / (2031.0 * 2031.0 * 2031.0),
                .blade_db = { 48, 43, 39, 34, 29 },
                .blade_db_per_decade = 75,
                .noise = { 21, 500, 3, 3 },
                .part = { "belt mesh 1", 60, 46, 40 },
                .motor_turns_per_turn = 5 },
};
const size_t demo_variant_count = sizeof demo_variants / sizeof demo_variants[0];

/* The true speeds put every tone on a whole number of cycles in the period, within 0.5 % of the speed that was set and
 * logged. */
const struct demo_run demo_runs[] = {
    { "stock2-3600-a.wav", STOCK2, 3615, 3600, true, DEMO_SOUND },
    { "stock2-3600-b.wav", STOCK2, 3600, 3600, false, DEMO_SOUND },
    { "stock2-4200-a.wav", STOCK2, 4185, 4200, true, DEMO_SOUND },
    { "stock2-4200-b.wav", STOCK2, 4215, 4200, false, DEMO_SOUND },
    { "stock2-4800-a.wav", STOCK2, 4815, 4800, true, DEMO_HUM },
    { "stock2-4800-b.wav", STOCK2, 4785, 4800, false, DEMO_SOUND },
    { "stock2-5400-a.wav", STOCK2, 5415, 5400, true, DEMO_SOUND },
    { "stock2-5400-b.wav", STOCK2, 5400, 5400, false, DEMO_CLIPPED },
    { "swept3-3060-a.wav", SWEPT3, 3065, 3060, true, DEMO_SOUND },
    { "swept3-3060-b.wav", SWEPT3, 3060, 3060, false, DEMO_SOUND },
    { "swept3-3600-a.wav", SWEPT3, 3595, 3600, true, DEMO_SOUND },
    { "swept3-3600-b.wav", SWEPT3, 3605, 3600, false, DEMO_SOUND },
    { "swept3-4200-a.wav", SWEPT3, 4205, 4200, true, DEMO_SOUND },
    { "swept3-4200-b.wav", SWEPT3, 4200, 4452, false, DEMO_WRONG_LOG },
    { "swept3-4800-a.wav", SWEPT3, 4785, 4800, true, DEMO_SOUND },
    { "swept3-4800-b.wav", SWEPT3, 4815, 4800, false, DEMO_SOUND },
    { "slow5-1500-a.wav", SLOW5, 1503, 1500, true, DEMO_SOUND },
    { "slow5-1500-b.wav", SLOW5, 1497, 1500, false, DEMO_SOUND },
    { "slow5-1860-a.wav", SLOW5, 1857, 1860, true, DEMO_SOUND },
    { "slow5-1860-b.wav", SLOW5, 1863, 1860, false, DEMO_SOUND },
    { "slow5-2160-a.wav", SLOW5, 2163, 2160, true, DEMO_SOUND },
    { "slow5-2160-b.wav", SLOW5, 2160, 2160, false, DEMO_SOUND },
    { "slow5-2460-a.wav", SLOW5, 2457, 2460, true, DEMO_SOUND },
    { "slow5-2460-b.wav", SLOW5, 2469, 2460, false, DEMO_SOUND },
};
const size_t demo_run_count = sizeof demo_runs / sizeof demo_runs[0];

const struct demo_haystack demo_background[2] = { { -16, 2500, 1.5, 3.5 }, { 0, 10, 0, 4 } };

const double demo_hum_db[DEMO_HUM_HARMONICS] = { 40, 48, 51, 0, 39 };

const char *demo_fault_key(enum demo_fault fault)
{
    switch (fault) {
    case DEMO_SOUND:
        return "none";
    case DEMO_CLIPPED:
        return "clipped";
    case DEMO_WRONG_LOG:
        return "wrong log";
    case DEMO_HUM:
        return "mains hum";
    }
    return NULL;
}

double demo_density_pa2_hz(const struct demo_haystack *haystacks, size_t count, double hz)
{
    double sum_pa2_hz = 0;
    for (size_t i = 0; i < count; i++) {
        double ratio = hz / haystacks[i].peak_hz;
        double shape = 2 / (pow(ratio, -haystacks[i].low_exponent) + pow(ratio, haystacks[i].high_exponent));
        sum_pa2_hz += db_to_pa2(haystacks[i].peak_density_db) * shape;
    }
    return sum_pa2_hz;
}

void demo_noise_at(const struct demo_variant *variant, double rpm, double scatter_db,
                   struct demo_haystack noise[DEMO_NOISES])
{
    double ratio = rpm / variant->reference_rpm;
    noise[0] = variant->noise;
    noise[0].peak_hz *= ratio;
    noise[0].peak_density_db += 50 * log10(ratio) + scatter_db;
    noise[1] = (struct demo_haystack){ 14 + 30 * log10(ratio) + scatter_db, 10, 0, 4 };
    noise[2] = demo_background[0];
    noise[3] = demo_background[1];
}

static void add_tone(struct demo_tone *tones, size_t *count, const char *family, int number, double hz, double level_db)
{
    struct demo_tone *tone = &tones[(*count)++];
    snprintf(tone->source, sizeof tone->source, "%s %d", family, number);
    tone->hz = hz;
    tone->level_db = level_db;
}

/* Level of shaft order m between the blade orders, as if every order were a blade order; flat below the first. */
static double envelope_db(const struct demo_variant *variant, int order, int harmonic_count)
{
    double harmonic = (double)order / variant->blades;
    if (harmonic <= 1)
        return variant->blade_db[0];
    int below = (int)floor(harmonic);
    if (below >= harmonic_count)
        return variant->blade_db[harmonic_count - 1];
    double part = harmonic - below;
    return (1 - part) * variant->blade_db[below - 1] + part * variant->blade_db[below];
}

size_t demo_tones_at(const struct demo_variant *variant, double rpm, struct demo_tone tones[DEMO_TONES_MAX])
{
    size_t count = 0;
    int harmonic_count = 0;
    double shaft_hz = rpm_to_hz(rpm), decades = log10(rpm / variant->reference_rpm);
    while (harmonic_count < DEMO_BLADE_HARMONICS_MAX && variant->blade_db[harmonic_count] > 0)
        harmonic_count++;
    for (int m = 1; m <= harmonic_count; m++)
        add_tone(tones, &count, "blade", m, m * variant->blades * shaft_hz,
                 variant->blade_db[m - 1] + variant->blade_db_per_decade * decades);
    /* Two blades of strengths 1 and 1 + e, half a turn apart, add to 2 + e on even orders and to e on odd ones. */
    double unevenness_db = amplitude_ratio_to_db(variant->unevenness_pct / (200 + variant->unevenness_pct));
    if (variant->unevenness_pct > 0)
        for (int order = 1; order < variant->blades * harmonic_count; order += 2)
            add_tone(tones, &count, "shaft", order, order * shaft_hz,
                     envelope_db(variant, order, harmonic_count) + variant->blade_db_per_decade * decades +
                         unevenness_db);
    if (variant->part.source) {
        struct demo_tone *tone = &tones[count++];
        snprintf(tone->source, sizeof tone->source, "%s", variant->part.source);
        tone->hz = variant->part.rotor_order * shaft_hz;
        tone->level_db = variant->part.level_db + variant->part.db_per_decade * decades;
    }
    return count;
}

double demo_thrust_n(const struct demo_variant *variant, double rpm)
{
    return variant->thrust_n_per_rpm2 * rpm * rpm;
}

double demo_rpm_of_thrust(const struct demo_variant *variant, double thrust_n)
{
    return sqrt(thrust_n / variant->thrust_n_per_rpm2);
}

double demo_power_w(const struct demo_variant *variant, double rpm)
{
    return variant->power_w_per_rpm3 * rpm * rpm * rpm;
}
