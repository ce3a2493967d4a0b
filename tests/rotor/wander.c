/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "made_up_wander.h"

/* A few of the wandering rotors that bench-rotor-wander runs by the hundred, from fixed seeds: speed without a log
 * within 0.5 %, and none where there is no rotor. The bounds are those of the scores there. */

int main(void)
{
    int right = 0, wrong = 0, invented = 0, count = 10;
    for (unsigned seed = 2001; seed < 2001 + (unsigned)count; seed++) {
        struct wandering made = made_up_wandering(seed);
        struct rotor_figures out = without_log(&made.rotor.sound, made.rotor.blades);
        bool is_right = fabs(out.rpm_measured / made.rotor.rpm - 1) <= 0.005;
        right += is_right;
        wrong += is_given(out.rpm_measured) && !is_right;
        printf("# seed %u, %d blades, wander %.1f %%, %.0f dB above noise: %.1f of %.1f rev/min\n", seed,
               made.rotor.blades, 100 * made.range, made.rotor.above_noise_db, out.rpm_measured, made.rotor.rpm);
        rotor_figures_clear(&out);
        free(made.rotor.sound.pa);
        struct made_up none = made_up_rotor(seed, false);
        out = without_log(&none.sound, none.blades);
        invented += is_given(out.rpm_measured);
        rotor_figures_clear(&out);
        free(none.sound.pa);
    }
    tap_ok(right >= 9, "speed wanders by 1 to 3 %%, no log: %d of %d within 0.5 %% (at least 9)", right, count);
    tap_ok(wrong <= 1, "%d wrong speeds (at most 1)", wrong);
    tap_ok(invented == 0, "no rotor, no log: %d speeds (none)", invented);
    return tap_done();
}
