/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "scene.h"

/* A belt whose slip changes through the recording: the rotor's tones stand, the motor's and the mesh move (kinematics).
 * Blade 10 lies where the mesh would be without slip. */

#define RPM 1500.0

enum { BLADES = 5, MOTOR_TEETH = 20, ROTOR_TEETH = 50, POLE_PAIRS = 7 };

static void put_moving(struct scene *scene, double motor_order, double first_hz, double last_hz, double pa)
{
    double mean_hz = (first_hz + last_hz) / 2;
    sound_add_tone(&scene->sound, motor_order * mean_hz, pa, dice_between(&scene->dice, 0, 6),
                   (last_hz - first_hz) / mean_hz);
}

static double told_pct(const struct scene *scene, const char *after)
{
    for (size_t i = 0; i < scene->rotor.remark_count; i++) {
        const char *moves = strstr(scene->rotor.remarks[i], "slip moves"), *at = moves ? strstr(moves, after) : NULL;
        if (at)
            return strtod(at + strlen(after), NULL);
    }
    return ABSENT;
}

static void belt(double first_slip, double last_slip, uint64_t seed)
{
    static const double blade_pa[] = { 0.02, 0.08, 0.012, 0.04, 0.006, 0.02, 0.003, 0.01 };
    double motor_hz = RPM / 60 * ROTOR_TEETH / MOTOR_TEETH;
    double first_hz = motor_hz / (1 - first_slip), last_hz = motor_hz / (1 - last_slip);
    struct scene scene = scene_new(BLADES, RPM * 1.002, seed);
    scene.variant.drive = DRIVE_BELT;
    scene.variant.motor_pulley_teeth = MOTOR_TEETH;
    scene.variant.rotor_pulley_teeth = ROTOR_TEETH;
    scene.variant.belt_teeth = 125;
    scene.variant.motor_pole_pairs = POLE_PAIRS;
    sound_add_noise(&scene.sound, 1e-7, &scene.dice);
    for (int m = 1; m <= 8; m++)
        put(&scene, m * BLADES * RPM / 60, blade_pa[m - 1]);
    put_moving(&scene, MOTOR_TEETH, first_hz, last_hz, 0.025);
    put_moving(&scene, 2 * MOTOR_TEETH, first_hz, last_hz, 0.009);
    put_moving(&scene, 2 * POLE_PAIRS, first_hz, last_hz, 0.012);
    put_moving(&scene, 6 * POLE_PAIRS, first_hz, last_hz, 0.006);
    explain(&scene);
    printf("# slip from %.1f to %.1f %%, told %.2f %%\n", 100 * first_slip, 100 * last_slip, scene.rotor.belt_slip_pct);
    for (size_t i = 0; i < scene.rotor.tone_count; i++)
        if (strcmp(scene.rotor.tones[i].source, "unexplained") == 0)
            printf("#   %.1f Hz unexplained\n", scene.rotor.tones[i].hz);
    tap_near(scene.rotor.rpm_measured, RPM, 0.0005 * RPM, "the rotor's speed, rev/min");
    tap_near(scene.rotor.belt_slip_pct, 50 * (first_slip + last_slip), 0.2, "slip in the mean, %%");
    if (first_slip != last_slip) {
        tap_near(told_pct(&scene, "from "), 100 * first_slip, 0.2, "at first, %%");
        tap_near(told_pct(&scene, "to "), 100 * last_slip, 0.2, "at last, %%");
    } else {
        tap_ok(!says(&scene, "slip moves"), "a slip that stands is not said to move");
    }
    tap_ok(scene.rotor.shares.unexplained_pct < 3, "%.1f %% of the energy without a part",
           scene.rotor.shares.unexplained_pct);
    scene_clear(&scene);
}

int main(void)
{
    belt(0.03, 0.03, 1);
    belt(0.02, 0.03, 2);
    belt(0.05, 0.02, 3);
    belt(0, 0.07, 4);
    return tap_done();
}
