/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "drive_score.h"
#include "scene.h"

/* The speed without a log where other combs than the blades' fit parts of the sound: the shaft's own orders, every
 * second blade line, the mains, a mesh, the motor. Frequencies are those of the kinematics, worked out here. */

struct made {
    const char *what;
    int blades;
    double rpm, unequal;            /* of one blade: amplitude, share */
    double hum_hz;                  /* 0: none */
    int pole_pairs;                 /* 0: no motor heard */
    int motor_teeth, rotor_teeth;   /* 0: no belt */
    double loudness_pa, first_loss; /* of blade 1; its share that is lost, as in a node of the room */
};

static const struct made made[] = {
    { "unequal, on multiples of 60 Hz", 5, 3596, 0.25, 0, 7, 0, 0, 0.03, 0 },
    { "unequal, a belt's mesh on a blade line", 3, 2981.4, 0.25, 0, 7, 21, 32, 0.03, 0 },
    { "unequal, six shaft orders for each blade line", 7, 1997.7, 0.28, 50, 7, 19, 32, 0.03, 0 },
    { "two unequal blades", 2, 5333.8, 0.14, 0, 14, 0, 0, 0.03, 0 },
    { "mesh on the seventh and fourteenth blade line", 7, 6446.3, 0, 50, 11, 12, 49, 0.03, 0 },
    { "a hum on the multiples of 50 Hz, ten to a blade line", 5, 6005.2, 0.07, 50, 0, 21, 52, 0.03, 0 },
    { "blade lines on every second multiple of 60 Hz", 4, 1798.5, 0, 0, 11, 0, 0, 0.03, 0 },
    { "a weak first blade line", 4, 4497.3, 0, 0, 7, 13, 31, 0.03, 0.5 },
};

static void put_machine(struct scene *scene, const struct made *one)
{
    double shaft_hz = one->rpm / 60, ratio = one->rotor_teeth ? (double)one->rotor_teeth / one->motor_teeth : 1;
    for (int order = 1; order <= 8 * one->blades; order++) {
        /* One blade weaker by e leaves e of the other orders beside B - e of the blade orders (symmetry, derived). */
        double share = order % one->blades == 0 ? one->blades - one->unequal : one->unequal;
        double pa =
            one->loudness_pa * share / one->blades * db_to_amplitude_ratio(-5 * ((double)order / one->blades - 1));
        if (pa > 0)
            put(scene, order * shaft_hz, pa * (order == one->blades ? 1 - one->first_loss : 1));
    }
    for (int multiple = 1; one->hum_hz > 0 && multiple <= 5; multiple++)
        put(scene, multiple * one->hum_hz, 0.002);
    if (one->pole_pairs)
        put(scene, 2 * one->pole_pairs * ratio * shaft_hz, 0.01);
    for (int multiple = 1; one->rotor_teeth && multiple <= 2; multiple++)
        put(scene, multiple * one->rotor_teeth * shaft_hz, 0.012 / multiple);
}

static void tell(const struct made *one, uint64_t seed)
{
    struct scene scene = scene_new(one->blades, ABSENT, seed);
    scene.variant.motor_pole_pairs = one->pole_pairs;
    if (one->rotor_teeth) {
        scene.variant.drive = DRIVE_BELT;
        scene.variant.motor_pulley_teeth = one->motor_teeth;
        scene.variant.rotor_pulley_teeth = one->rotor_teeth;
    }
    put_machine(&scene, one);
    explain(&scene);
    printf("# %s: %d blades at %.1f rev/min, told %.1f\n", one->what, one->blades, one->rpm, scene.rotor.rpm_measured);
    tap_ok(!is_given(scene.rotor.rpm_measured) || fabs(scene.rotor.rpm_measured / one->rpm - 1) <= 0.001,
           "no wrong speed: %s", one->what);
    scene_clear(&scene);
}

int main(void)
{
    for (size_t i = 0; i < sizeof made / sizeof *made; i++)
        tell(&made[i], 301 + i);
    struct drive_score score = { 0 };
    int count = 24;
    for (unsigned seed = 1001; seed < 1001 + (unsigned)count; seed++) {
        struct made_up_drive drive;
        made_up_drive(seed, &drive);
        drive_score_no_log(&drive, true, &score);
        free(drive.sound.pa);
    }
    /* 2 % are allowed in bench-rotor-drives: in 24 that is 2 at the most, 98 times in 100 (binomial). */
    tap_ok(score.speeds_wrong <= 2, "%d drives: %d wrong speeds (at most 2)", count, score.speeds_wrong);
    tap_ok(score.speeds_right >= 0.7 * count, "%d right ones (at least 70 %%, the goal of bench-rotor-drives)",
           score.speeds_right);
    return tap_done();
}
