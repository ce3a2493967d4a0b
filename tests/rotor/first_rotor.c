/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "scene.h"

/* Two rotors of three blades at 5130 and 5205 rev/min, the second louder or the first: which of them is *the* rotor?
 * The one nearest to the log within its tolerance (2 %), else the loudest. */

static const struct {
    double log_rpm, first_pa, second_pa, rpm;
} cases[] = {
    { 5130, 0.05, 0.08, 5130 },   { 5140, 0.05, 0.08, 5130 },   { 5215, 0.08, 0.05, 5205 }, { 5205, 0.05, 0.08, 5205 },
    { ABSENT, 0.05, 0.08, 5205 }, { ABSENT, 0.08, 0.05, 5130 }, { 5550, 0.05, 0.08, 5205 }, { 5550, 0.08, 0.05, 5130 },
    { 5130, 0.05, 0, 5130 },      { 5190, 0.05, 0.0005, 5130 },
};

int main(void)
{
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct scene scene = scene_new(3, cases[i].log_rpm, 501 + i);
        scene.variant.rotors = 2;
        blades(&scene, 5130, cases[i].first_pa);
        if (cases[i].second_pa > 0)
            blades(&scene, 5205, cases[i].second_pa);
        explain(&scene);
        tap_near(scene.rotor.rpm_measured, cases[i].rpm, cases[i].rpm * 0.0005,
                 "%g and %g Pa, log %.0f: the rotor's speed, rev/min", cases[i].first_pa, cases[i].second_pa,
                 cases[i].log_rpm);
        bool is_second = cases[i].second_pa > 0.001;
        tap_ok(says(&scene, cases[i].rpm > 5200 ? "Another rotor turns at 51" : "Another rotor turns at 52") ==
                       is_second ||
                   !is_second,
               "the other one is told as another");
        scene_clear(&scene);
    }
    return tap_done();
}
