/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/trouble.h"
#include "scene.h"

/* Early signs of trouble, each with a sound that has it and one that has not. Which orders a fault makes is derived
 * from symmetry: one unequal blade makes all orders alike beside the blade lines, two unequal pairs of four blades make
 * odd multiples of order 2 only. Mesh side tones: power-mi.com node 2928 (verified), belts from memory. Half orders:
 * common practice. */

/* Blade orders of 0.1 Pa that fall by 0.6 from harmonic to harmonic, other orders beside them by `share`. */
static struct scene rotor(int blades, double rpm, const double *share, uint64_t seed)
{
    struct scene scene = scene_new(blades, rpm, seed);
    for (int order = 1; order <= 3 * blades; order++) {
        double harmonic = order < blades ? 1 : (double)order / blades;
        double pa = 0.1 * pow(0.6, harmonic - 1) * (order % blades == 0 ? 1 : share[order % blades]);
        if (pa > 0)
            put(&scene, order * rpm / 60, pa);
    }
    return scene;
}

static void first_order(void)
{
    static const double equal[] = { 0, 0, 0 }, uneven[] = { 0, 0.03, 0.03 };
    struct scene scene = rotor(3, 4800, equal, 1);
    explain(&scene);
    tap_ok(scene.rotor.remark_count == 0, "three equal blades: nothing is said");
    scene_clear(&scene);

    scene = rotor(3, 4800, uneven, 2);
    explain(&scene);
    tap_ok(says(&scene, "Blades may be unequal") && !says(&scene, "Shaft order 1"), "one blade 10 %% off");
    tap_ok(says(&scene, "some 10 % off (a hint, no measure"), "told as a hint, in steps of 5 %%");
    scene_clear(&scene);

    scene = rotor(3, 4800, uneven, 3);
    put(&scene, 80, 0.03); /* 20 lg(0.033 / 0.003) = 20.8 dB, or less where they cancel */
    explain(&scene);
    tap_ok(says(&scene, "Shaft order 1 (80.0 Hz") && says(&scene, "imbalance"), "order 1 alone 20 dB up is told");
    tap_ok(!says(&scene, "Blades may be unequal"), "and not put down to the blades");
    scene_clear(&scene);

    scene = rotor(3, 4800, equal, 4);
    put(&scene, 80, 0.02);
    explain(&scene);
    tap_ok(says(&scene, "Shaft order 1 (80.0 Hz"), "order 1 with no other order heard");
    scene_clear(&scene);
}

static void pairs(void)
{
    static const double pairs_off[] = { 0, 0, 0.1, 0 }, one_off[] = { 0, 0.05, 0.05, 0.05 };
    struct scene scene = rotor(4, 3570, pairs_off, 11);
    explain(&scene);
    tap_ok(says(&scene, "alike in pairs") && says(&scene, "orders 2, 6"), "two pairs of blades that differ");
    scene_clear(&scene);
    scene = rotor(4, 3570, one_off, 12);
    explain(&scene);
    tap_ok(!says(&scene, "alike in pairs") && says(&scene, "Blades may be unequal"), "one blade of four that differs");
    scene_clear(&scene);
}

/* A gear 11:67 at 1980 rev/min: shaft 33 Hz, motor 201 Hz, mesh 2211 Hz. */
static struct scene geared(uint64_t seed)
{
    struct scene scene = scene_new(4, 1980, seed);
    scene.variant.drive = DRIVE_GEAR;
    scene.variant.motor_gear_teeth = 11;
    scene.variant.rotor_gear_teeth = 67;
    blades(&scene, 1980, 0.1);
    put(&scene, 2211, 0.05);
    return scene;
}

static void mesh_side_tones(void)
{
    struct scene scene = geared(21);
    explain(&scene);
    tap_ok(says(&scene, "teeth of the gear") && !says(&scene, "side tone"), "a mesh alone");
    scene_clear(&scene);

    scene = geared(22);
    put(&scene, 2211 - 201, 0.005);
    put(&scene, 2211 + 201, 0.005);
    explain(&scene);
    tap_ok(says(&scene, "2 side tones at multiples of the motor shaft") && says(&scene, "20 dB below the mesh"),
           "two of 20 dB less a motor turn beside it: how many, how strong");
    tap_ok(says(&scene, "the motor's pinion"), "and which wheel");
    scene_clear(&scene);

    scene = geared(23);
    put(&scene, 2211 + 33, 0.005);
    put(&scene, 2211 - 33, 0.005);
    explain(&scene);
    tap_ok(says(&scene, "multiples of the rotor shaft") && says(&scene, "the rotor's wheel"), "a rotor turn beside it");
    scene_clear(&scene);
}

static void half_orders(void)
{
    static const double equal[] = { 0, 0 };
    struct scene scene = rotor(2, 4200, equal, 31);
    put(&scene, 35, 0.02);
    put(&scene, 105, 0.01);
    put(&scene, 175, 0.01);
    explain(&scene);
    tap_ok(says(&scene, "3 tones lie on half orders") && says(&scene, "35.0 Hz (order 0.5"), "orders 1/2, 3/2, 5/2");
    scene_clear(&scene);
    scene = rotor(2, 4200, equal, 32);
    put(&scene, 35, 0.02); /* one */
    put(&scene, 107, 0.01);
    put(&scene, 173, 0.01);
    explain(&scene);
    tap_ok(!says(&scene, "half orders"), "one half order and two tones beside others are none");
    scene_clear(&scene);
}

/* Something that swings `per_turn` times a turn and modulates the blade tones leaves pairs beside each line (product of
 * two sines, derived). */
static struct scene swinging(double per_turn, int lines, bool is_both, uint64_t seed)
{
    static const double equal[] = { 0, 0 };
    struct scene scene = rotor(2, 4020, equal, seed);
    for (int line = 1; line <= lines; line++) {
        double pa = 0.012 * pow(0.6, line - 1);
        put(&scene, (2 * line - per_turn) * 67, pa);
        if (is_both)
            put(&scene, (2 * line + per_turn) * 67, pa);
    }
    return scene;
}

static void pairs_beside_blade_lines(void)
{
    struct scene scene = swinging(0.37, 3, true, 41);
    explain(&scene);
    tap_ok(says(&scene, "3 blade lines") && says(&scene, "24.8 Hz (0.370 of the shaft's speed)"),
           "pairs at 0.37 of 67 Hz beside three blade lines");
    tap_ok(says(&scene, "18 dB below its blade line") && says(&scene, "flutter") && says(&scene, "stop"),
           "how strong (20 lg 0.12 = -18.4 dB), what it may be, what to do");
    scene_clear(&scene);

    scene = swinging(0.37, 1, true, 42);
    explain(&scene);
    tap_ok(!says(&scene, "flutter"), "a pair beside one line is none");
    scene_clear(&scene);
    scene = swinging(0.37, 3, false, 43);
    explain(&scene);
    tap_ok(!says(&scene, "flutter"), "nor are tones on one side");
    scene_clear(&scene);
    scene = swinging(0.5, 3, true, 44);
    explain(&scene);
    tap_ok(!says(&scene, "flutter") && says(&scene, "half orders"), "half orders are told as such");
    scene_clear(&scene);
    scene = swinging(1, 3, true, 45);
    explain(&scene);
    tap_ok(!says(&scene, "flutter"), "the shaft's own orders are its blades'");
    scene_clear(&scene);
}

int main(void)
{
    pairs_beside_blade_lines();
    first_order();
    pairs();
    mesh_side_tones();
    half_orders();
    return tap_done();
}
