/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "scene.h"

/* A cross-axis rotor of four blades, each loaded twice a turn, upwind and downwind: every second blade line stands 20
 * to 30 dB above the others (unsteady loading of 2 a turn; derived). Its belt meshes on blade 12. */

#define RPM 1601.0

static struct scene cross_axis(double odd_pa, bool has_log, uint64_t seed)
{
    static const double pa[] = { 0.05, 0.025, 0.014, 0.007, 0.004 };
    struct scene scene = scene_new(4, has_log ? 1600 : ABSENT, seed);
    double shaft_hz = RPM / 60, mesh_hz = 48 * shaft_hz, lap_hz = mesh_hz / 120;
    scene.variant.drive = DRIVE_BELT;
    scene.variant.motor_pulley_teeth = 16;
    scene.variant.rotor_pulley_teeth = 48;
    scene.variant.belt_teeth = 120;
    for (int i = 0; i < 5; i++) {
        put(&scene, 8 * (i + 1) * shaft_hz, pa[i]);
        put(&scene, (8 * i + 4) * shaft_hz, odd_pa * pa[i]);
    }
    put(&scene, shaft_hz, 0.002);
    put(&scene, 2 * shaft_hz, 0.0013);
    put(&scene, mesh_hz, 0.01);
    put(&scene, mesh_hz - lap_hz, 0.0025);
    put(&scene, mesh_hz + lap_hz, 0.0025);
    return scene;
}

static const char *finding_of(const struct scene *scene, const char *code)
{
    for (size_t i = 0; i < scene->findings.count; i++)
        if (strcmp(scene->findings.items[i].code, code) == 0)
            return scene->findings.items[i].text;
    return "";
}

static void logged(double odd_pa, uint64_t seed)
{
    struct scene scene = cross_axis(odd_pa, true, seed);
    explain(&scene);
    const char *text = finding_of(&scene, "blade-count-twice");
    printf("# %s\n", text);
    tap_near(scene.rotor.rpm_measured, RPM, 0.0005 * RPM, "the logged speed is kept, rev/min");
    tap_ok(!findings_have(&scene.findings, "blade-count"), "the true count is not contradicted");
    tap_ok(strstr(text, "twice a turn") && strstr(text, "8 blades"), "both readings are told");
    tap_ok(is_told(&scene, 8 * RPM / 60, "blade 2", "") && is_told(&scene, 16 * RPM / 60, "blade 4", ""),
           "its tones are blade lines");
    tap_ok(is_told(&scene, 48 * RPM / 60, "belt mesh 1", ""), "side tones at the belt's turn tell the mesh");
    tap_ok(says(&scene, "a splice or tooth may be bad"), "and a sentence about the belt");
    scene_clear(&scene);
}

/* Without a log the shaft's own order 1, on half an order of a shaft that turns twice as fast, tells the speed. */
static void not_logged(void)
{
    struct scene scene = cross_axis(0.05, false, 13);
    explain(&scene);
    tap_near(scene.rotor.rpm_measured, RPM, 0.0005 * RPM, "without a log, rev/min");
    scene_clear(&scene);
    for (uint64_t i = 0; i < 3; i++) {
        scene = cross_axis(0.05, false, 14 + i);
        sound_add_noise(&scene.sound, 4e-8 * pow(2, (double)i), &scene.dice);
        put(&scene, 42 * RPM / 60, 0.007); /* the motor's magnets, 14 a turn of its shaft */
        explain(&scene);
        double rpm = scene.rotor.rpm_measured;
        tap_ok(!(fabs(rpm / RPM - 1) > 0.0005), "under more and more noise none that is wrong: %.1f rev/min", rpm);
        scene_clear(&scene);
    }
}

int main(void)
{
    logged(0.05, 11);
    logged(0, 12);
    not_logged();
    return tap_done();
}
