/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/naming.h"
#include "scene.h"

/* A bearing as loud as the rotor it carries: an outer race is struck N (1 - d/D) / 2 times a turn (kinematics) and
 * rings at 6.2 kHz, so that its multiples stand out from the first to the thirtieth. */

enum { BALLS = 9, RING_FRAMES = 300 };

#define BALL_MM 4.0
#define PITCH_MM 17.5
#define RPM 4000.0

static double outer_hz(void)
{
    return BALLS * (1 - BALL_MM / PITCH_MM) / 2 * RPM / 60;
}

/* Rings of `rms_pa` in the mean; each step between two strokes is off by `jitter`, standard deviation. */
static void add_knocks(struct scene *scene, double rms_pa, double jitter)
{
    double rate_hz = scene->sound.rate_hz, decay_s = 0.0006, ring_hz = 6200;
    /* A ring e^(-t/a) sin has the energy a / 4. */
    double peak_pa = rms_pa / sqrt(decay_s / 4 * outer_hz());
    for (double s = 0.003; s < SCENE_LENGTH_S; s += (1 + jitter * dice_normal(&scene->dice)) / outer_hz()) {
        size_t start = (size_t)(s * rate_hz);
        for (size_t i = start; i < start + RING_FRAMES && i < scene->sound.count; i++) {
            double time_s = (double)(i - start) / rate_hz;
            scene->sound.pa[i] += peak_pa * exp(-time_s / decay_s) * sin(2 * PI * ring_hz * time_s);
        }
    }
}

static void loud_bearing(double knock_db, double jitter, uint64_t seed)
{
    static const double blade_db[] = { 78, 72, 66, 61, 56 };
    char name[] = "front";
    struct bearing bearing = {
        .name = name, .shaft = SHAFT_ROTOR, .balls = BALLS, .ball_mm = BALL_MM, .pitch_mm = PITCH_MM
    };
    struct scene scene = scene_new(2, RPM, seed);
    scene.variant.bearings = &bearing;
    scene.variant.bearing_count = 1;
    for (int m = 1; m <= 5; m++)
        put(&scene, m * 2 * RPM / 60, 2e-5 * db_to_amplitude_ratio(blade_db[m - 1]));
    put(&scene, RPM / 60, 2e-5 * db_to_amplitude_ratio(55));
    put(&scene, 3 * RPM / 60, 2e-5 * db_to_amplitude_ratio(48));
    sound_add_noise(&scene.sound, 1e-7, &scene.dice);
    add_knocks(&scene, 2e-5 * db_to_amplitude_ratio(knock_db), jitter);
    explain(&scene);
    printf("# knocks of %.0f dB, jitter %.1f %%\n", knock_db, 100 * jitter);
    tap_near(scene.rotor.rpm_measured, RPM, 0.0005 * RPM, "the rotor's speed, rev/min");
    tap_ok(!findings_have(&scene.findings, "blade-count") && !findings_have(&scene.findings, "speed-differs"),
           "count and log are not contradicted");
    tap_ok(says(&scene, "(bearing front outer 1"), "the race is told");
    int on_race = 0, named = 0;
    for (size_t i = 0; i < scene.rotor.tone_count; i++) {
        const struct tone *tone = &scene.rotor.tones[i];
        double multiple = round(tone->hz / outer_hz());
        bool is_race = multiple >= 1 && multiple <= 35 && fabs(tone->hz / multiple / outer_hz() - 1) < 0.0004;
        on_race += is_race && !tone_is_blade(tone);
        named += is_race && tone_is_of(tone, "bearing front outer");
    }
    tap_ok(named >= 0.9 * on_race && on_race >= 20, "%d of the race's %d tones have its name", named, on_race);
    tap_ok(scene.rotor.shares.unexplained_pct < 10, "%.1f %% of the energy without a part",
           scene.rotor.shares.unexplained_pct);
    scene.variant.bearings = NULL;
    scene_clear(&scene);
}

int main(void)
{
    for (uint64_t i = 0; i < 5; i++) {
        loud_bearing(68 + 2 * (double)i, 0.001, 21 + i);
        loud_bearing(68 + 2 * (double)i, 0.003, 31 + i);
    }
    return tap_done();
}
