/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "hearing/audibility.h"
#include "hearing/critical_band.h"
#include "hearing/ecma.h"
#include "hearing/hearing.h"
#include "noise_in_band.h"
#include "spectra.h"

/* Tones beside each other in flat noise without randomness, as a Hann window shows them: closed forms of ECMA-418-1,
 * clauses 11 and 12, and of ISO/PAS 20065 (both from memory). Lines of 0.75 Hz. */

#define STEP_HZ 0.75
#define DENSITY_DB 20.0
#define STRONG_DB 66.0
#define TONE_MAX 3
#define AUDIBILITY_ERROR_DB                                                                                            \
    0.5 /* lines 10 dB below the highest do not count: up to 0.25 dB of either of two compared */

struct scene {
    struct spectrum spectrum;
    struct tone tones[TONE_MAX];
    struct rotor_figures rotor;
    struct tonality tonality;
};

/* Power response of the Hann window to a tone at any place: sin(pi x) / (pi x (1 - x^2)), squared. */
static void add_tone_anywhere(struct spectrum *spectrum, double hz, double level_db)
{
    for (size_t k = 0; k < spectrum->count; k++) {
        double x = fabs(hz / spectrum->step_hz - (double)k);
        double amplitude = x < 1e-6 ? 1 : fabs(x - 1) < 1e-6 ? 0.5 : sin(PI * x) / (PI * x * (1 - x * x));
        spectrum->pa2[k] += amplitude * amplitude * db_to_pa2(level_db);
    }
}

static void scene_rate(struct scene *scene, size_t count, const double *hz, const char *const *source)
{
    struct err err;
    memset(scene->tones, 0, sizeof scene->tones);
    for (size_t i = 0; i < count; i++) {
        scene->tones[i].hz = hz[i];
        snprintf(scene->tones[i].source, sizeof scene->tones[i].source, "%s", source[i]);
    }
    scene->rotor = (struct rotor_figures){ .tones = scene->tones, .tone_count = count };
    if (!tonality_rate(&scene->spectrum, true, &scene->rotor, &scene->tonality, &err))
        abort();
    free(scene->spectrum.pa2);
}

static void scene_make(struct scene *scene, size_t count, const double *hz, const double *level_db,
                       const char *const *source)
{
    scene->spectrum = flat_spectrum(STEP_HZ, 20001, DENSITY_DB);
    for (size_t i = 0; i < count; i++)
        add_tone_anywhere(&scene->spectrum, hz[i], level_db[i]);
    scene_rate(scene, count, hz, source);
}

static double noise_db(double hz)
{
    return DENSITY_DB + power_ratio_to_db(critical_bandwidth_hz(hz));
}

static double sum_db(double a_db, double b_db)
{
    return power_ratio_to_db(db_to_power_ratio(a_db) + db_to_power_ratio(b_db));
}

/* Prominence ratio of a tone at `hz` of power `own_db` with another tone about. */
static double prominence_form_db(double hz, double own_db, double other_hz, double other_db)
{
    double low_hz, high_hz, density = db_to_power_ratio(DENSITY_DB);
    double edge_hz[4] = { ecma_lower_edge_hz(hz), 0, 0, ecma_upper_edge_hz(hz) }, power[3];
    critical_band_ecma(hz, &low_hz, &high_hz);
    edge_hz[1] = low_hz;
    edge_hz[2] = high_hz;
    for (int band = 0; band < 3; band++) {
        power[band] = density * (edge_hz[band + 1] - edge_hz[band]) + (band == 1 ? db_to_power_ratio(own_db) : 0);
        if (other_hz >= edge_hz[band] && other_hz < edge_hz[band + 1])
            power[band] += db_to_power_ratio(other_db);
    }
    return power_ratio_to_db(power[1] / (0.5 * (power[0] + power[2])));
}

static double audibility_form_db(double hz, double tone_db)
{
    return tone_db + power_ratio_to_db(a_weighting(hz)) - noise_in_band_db(hz, DENSITY_DB) - masking_index_db(hz);
}

/* The most that the lines of a weak tone may hold: its power and five lines of noise, of 3 Hz at most. */
static double weak_bound_db(double tone_db)
{
    return sum_db(tone_db, DENSITY_DB + power_ratio_to_db(5 * 3.0));
}

/* Of a weak tone's lines those up to 6 dB above the mean stay in the noise beside the strong one, by the standard: five
 * at most, the main lobe, of as many as lines of 3 Hz make a critical band. */
static double noise_rise_db(double hz)
{
    return power_ratio_to_db(1 + 5 * (db_to_power_ratio(6) - 1) * 3.0 / critical_bandwidth_hz(hz));
}

/* Two tones heard as one at the place of the first: A-weighted, each by its own frequency. */
static double weighted_sum_db(double first_hz, double first_db, double hz, double level_db)
{
    return sum_db(first_db, level_db + power_ratio_to_db(a_weighting(hz) / a_weighting(first_hz)));
}

static double audibility_alone_db(double hz, double level_db)
{
    static const char *const source[] = { "blade 1" };
    struct scene scene;
    scene_make(&scene, 1, &hz, &level_db, source);
    return scene.tones[0].audibility_db;
}

/* `form_db`: the audibility that the tone has alone, and the power that is heard with it. */
static void check_audibility(double got_db, double form_db, double hz, const char *label)
{
    tap_within(got_db, form_db, noise_rise_db(hz) + AUDIBILITY_ERROR_DB, AUDIBILITY_ERROR_DB, "%s", label);
}

static void check_weak(const struct tone *weak, double distance_hz, bool is_as_one, bool is_in_band, double weak_db)
{
    tap_ok(!weak->is_prominent, "weak tone %+.1f Hz: not prominent", distance_hz);
    tap_ok(!is_given(weak->prominence_db) || !is_in_band, "weak tone %+.1f Hz: no prominence ratio of its neighbour's",
           distance_hz);
    if (is_as_one)
        tap_ok(!is_given(weak->tone_to_noise_db), "weak tone %+.1f Hz: heard as one with the strong one", distance_hz);
    else
        tap_near(weak->tone_to_noise_db, weak_db - noise_db(weak->hz), 0.2, "weak tone %+.1f Hz: TNR", distance_hz);
    double bound_db = audibility_form_db(weak->hz, weak_bound_db(weak_db));
    tap_ok(!is_given(weak->audibility_db) || weak->audibility_db < bound_db + AUDIBILITY_ERROR_DB,
           "weak tone %+.1f Hz: audibility %.1f, bound %.1f dB", distance_hz, weak->audibility_db, bound_db);
}

static void check_pair(double strong_hz, double alone_db, double distance_hz, double drop_db)
{
    static const char *const source[] = { "blade 1", "mains 3" }, *const source_below[] = { "mains 3", "blade 1" };
    double weak_hz = strong_hz + distance_hz, weak_db = STRONG_DB - drop_db;
    bool is_below = distance_hz < 0;
    double hz[2] = { is_below ? weak_hz : strong_hz, is_below ? strong_hz : weak_hz };
    double level_db[2] = { is_below ? weak_db : STRONG_DB, is_below ? STRONG_DB : weak_db };
    struct scene scene;
    scene_make(&scene, 2, hz, level_db, is_below ? source_below : source);
    const struct tone *strong = &scene.tones[is_below], *weak = &scene.tones[!is_below];
    double low_hz, high_hz;
    critical_band_ecma(strong_hz, &low_hz, &high_hz);
    bool is_in_band = weak_hz > low_hz && weak_hz < high_hz;
    bool is_as_one = is_in_band && (strong_hz >= 1000 || fabs(distance_hz) < proximity_hz(strong_hz));
    double rated_db = is_as_one ? sum_db(STRONG_DB, weak_db) : STRONG_DB;
    double heard_db = is_as_one ? weighted_sum_db(strong_hz, STRONG_DB, weak_hz, weak_db) : STRONG_DB;
    printf("# %g Hz with %g dB less %+.1f Hz away\n", strong_hz, drop_db, distance_hz);
    tap_near(strong->tone_to_noise_db, rated_db - noise_db(strong_hz), 0.2, "strong tone: TNR");
    tap_near(strong->prominence_db, prominence_form_db(strong_hz, STRONG_DB, weak_hz, weak_db), 0.2, "strong tone: PR");
    check_audibility(strong->audibility_db, alone_db + heard_db - STRONG_DB, strong_hz, "strong tone: audibility");
    tap_text(scene.tonality.decisive_source, "blade 1", "the strong one decides");
    tap_text(scene.tonality.prominent_source, "blade 1", "and stands out most");
    check_weak(weak, distance_hz, is_as_one, is_in_band, weak_db);
}

static void strong_and_weak(void)
{
    static const double strong_hz[] = { 210, 2000 }, drop_db[] = { 20, 30, 40 };
    for (size_t i = 0; i < 2; i++) {
        double alone_db = audibility_alone_db(strong_hz[i], STRONG_DB);
        double distances_hz[] = { 2, 10, 40, 0.8 * critical_bandwidth_hz(strong_hz[i]) };
        for (size_t j = 0; j < 3; j++)
            for (size_t k = 0; k < 8; k++)
                check_pair(strong_hz[i], alone_db, k < 4 ? distances_hz[k] : -distances_hz[k - 4], drop_db[j]);
    }
}

/* Two tones of nearly one height: those nearer than 21 Hz are one, whose figures the stronger carries, and the weaker
 * has its own power. */
static void nearly_equal_tones(void)
{
    static const char *const source[] = { "blade 1", "belt mesh 1" };
    static const double apart_hz[] = { 3, 10, 20, 40 };
    for (size_t i = 0; i < 4; i++) {
        double hz[2] = { 210, 210 + apart_hz[i] }, level_db[2] = { 61.5, 60 };
        double first_db = apart_hz[i] < 21 ? sum_db(level_db[0], level_db[1]) : level_db[0];
        struct scene scene;
        scene_make(&scene, 2, hz, level_db, source);
        printf("# nearly equal tones %g Hz apart\n", apart_hz[i]);
        tap_near(scene.tones[0].tone_to_noise_db, first_db - noise_db(hz[0]), 0.2, "the stronger of two: TNR");
        tap_near(scene.tones[1].tone_to_noise_db, level_db[1] - noise_db(hz[1]), 0.2, "the weaker of two: TNR");
        tap_ok(is_given(scene.tones[0].prominence_db) && !is_given(scene.tones[1].prominence_db),
               "the prominence ratio is the stronger's");
        double heard_db = apart_hz[i] < 21 ? weighted_sum_db(hz[0], 61.5, hz[1], 60) : 61.5;
        check_audibility(scene.tonality.audibility_db, audibility_alone_db(hz[0], heard_db), hz[0],
                         "the stronger of two: audibility");
        tap_text(scene.tonality.decisive_source, "blade 1", "it is decisive");
        if (apart_hz[i] >= 10)
            check_audibility(scene.tones[1].audibility_db, audibility_alone_db(hz[1], level_db[1]), hz[1],
                             "the weaker of two: audibility");
        else
            tap_ok(!is_given(scene.tones[1].audibility_db), "lines of 3 Hz do not part them: the stronger has both");
    }
}

/* Neither reaches its limit (13.7 dB at 210 Hz), the sum does, by 1.5 dB. A third tone is more audible than either, and
 * less than both. */
static void sum_decides(void)
{
    static const char *const source[] = { "mains 4", "blade 1", "belt mesh 1" };
    double limit_db = ecma_tone_to_noise_limit_db(210) + noise_db(210);
    double hz[3] = { 195, 210, 840 }, level_db[3] = { limit_db - 2, limit_db - 1, 60 };
    double both_db = sum_db(level_db[0], level_db[1]);
    double audibility_db = audibility_alone_db(210, weighted_sum_db(210, level_db[1], 195, level_db[0]));
    level_db[2] += audibility_db - 1.7 - audibility_alone_db(840, 60);
    struct scene scene;
    scene_make(&scene, 3, hz, level_db, source);
    tap_near(scene.tones[1].tone_to_noise_db, both_db - noise_db(210), 0.2, "two tones together: TNR");
    tap_ok(scene.tones[1].is_prominent && !scene.tones[0].is_prominent, "only together they are prominent");
    check_audibility(scene.tones[2].audibility_db, audibility_db - 1.7, 840, "a third tone: audibility");
    tap_text(scene.tonality.decisive_source, "blade 1", "the stronger of the two is decisive");
    tap_near(scene.tonality.decisive_hz, 210, 0, "at its frequency, Hz");
    check_audibility(scene.tonality.audibility_db, audibility_db, 210, "two tones together: audibility");
}

/* Through the transform: a blade tone whose speed wanders by 0.5 to 2.2 %, far over the middle to the hum, and hum that
 * does not, in white noise. Over 20 s the noise of a critical band is known to 0.1 dB (one standard deviation), and so
 * is a tone 20 dB above the noise in its lines: 0.4 dB for their ratio. */
static void beside_a_wandering_tone(void)
{
    static const char *const source[] = { "blade 1", "mains 5" };
    static const double hum_hz[] = { 242, 250, 270, 270, 250 }, wander[] = { 0.005, 0.005, 0.005, 0.02, 0.022 };
    double strong_hz = 239.5, hum_db = 46;
    for (size_t i = 0; i < 5; i++) {
        struct signal signal = signal_new(48000, 20);
        double hz[2] = { strong_hz, hum_hz[i] }, phase = 0;
        add_tone(&signal, hum_hz[i], hum_db);
        add_white_noise(&signal, DENSITY_DB, 40 + i);
        for (size_t k = 0; k < signal.count; k++) {
            phase +=
                2 * PI * strong_hz / signal.rate_hz * (1 + wander[i] * sin(2 * PI * 0.3 * (double)k / signal.rate_hz));
            signal.pa[k] += sqrt(2 * db_to_pa2(68)) * sin(phase);
        }
        struct scene scene = { .spectrum = spectrum_of(&signal, 65536) };
        scene_rate(&scene, 2, hz, source);
        printf("# hum at %g Hz beside a tone that wanders by %g\n", hum_hz[i], wander[i]);
        tap_ok(scene.tones[0].is_prominent && !scene.tones[1].is_prominent, "hum takes nothing of a wandering tone");
        tap_near(scene.tones[0].tone_to_noise_db, 68 - noise_db(strong_hz), 0.4, "a wandering tone beside hum");
        tap_text(scene.tonality.decisive_source, "blade 1", "that one is decisive");
        if (hum_hz[i] > 265)
            tap_near(scene.tones[1].tone_to_noise_db, hum_db - noise_db(hum_hz[i]), 0.4, "hum beside a wandering tone");
        else
            tap_ok(!is_given(scene.tones[1].tone_to_noise_db), "and it is heard as one with it");
        free(signal.pa);
    }
}

int main(void)
{
    beside_a_wandering_tone();
    strong_and_weak();
    nearly_equal_tones();
    sum_decides();
    return tap_done();
}
