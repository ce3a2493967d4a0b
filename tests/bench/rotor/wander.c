/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How often is the speed of a made-up rotor right that wanders by 1 to 3 %, without a log? And how often is a speed
 * told where there is no rotor? Prints the scores beside what they are to be; exit status 1 when one is missed.
 * bench-rotor-wander [COUNT [FIRST_SEED]] [-v] */

#include "rotor/made_up_wander.h"

int main(int argc, char **argv)
{
    bool is_verbose = argc > 1 && strcmp(argv[argc - 1], "-v") == 0;
    argc -= is_verbose;
    unsigned count = argc > 1 ? (unsigned)strtoul(argv[1], NULL, 10) : 200;
    unsigned first = argc > 2 ? (unsigned)strtoul(argv[2], NULL, 10) : 1;
    unsigned right = 0, wrong = 0, invented = 0;
    for (unsigned seed = first; seed < first + count; seed++) {
        struct wandering made = made_up_wandering(seed);
        struct rotor_figures out = without_log(&made.rotor.sound, made.rotor.blades);
        bool is_right = fabs(out.rpm_measured / made.rotor.rpm - 1) <= 0.005;
        right += is_right;
        wrong += is_given(out.rpm_measured) && !is_right;
        if (is_verbose && !is_right)
            printf("seed %u, %d blades %.1f rev/min, %.1f dB above noise, wander %.2f %%, unequal %.3f: got %.1f\n",
                   seed, made.rotor.blades, made.rotor.rpm, made.rotor.above_noise_db, 100 * made.range,
                   made.rotor.unequal, out.rpm_measured);
        rotor_figures_clear(&out);
        free(made.rotor.sound.pa);
        struct made_up none = made_up_rotor(seed, false);
        out = without_log(&none.sound, none.blades);
        invented += is_given(out.rpm_measured);
        if (is_verbose && is_given(out.rpm_measured))
            printf("seed %u without a rotor, %d blades: got %.1f\n", seed, none.blades, out.rpm_measured);
        rotor_figures_clear(&out);
        free(none.sound.pa);
    }
    double right_pct = 100.0 * right / count, wrong_pct = 100.0 * wrong / count,
           invented_pct = 100.0 * invented / count;
    printf("wander of 1 to 3 %%, no log: within 0.5 %%   %5.1f %% of %u (goal: at least 90 %%) %s\n", right_pct, count,
           right_pct >= 90 ? "met" : "MISSED");
    printf("a wrong speed instead                      %5.1f %% (goal: at most 5 %%) %s\n", wrong_pct,
           wrong_pct <= 5 ? "met" : "MISSED");
    printf("no rotor, no log, and yet a speed          %5.1f %% (goal: at most 2 %%) %s\n", invented_pct,
           invented_pct <= 2 ? "met" : "MISSED");
    return right_pct >= 90 && wrong_pct <= 5 && invented_pct <= 2 ? EXIT_SUCCESS : EXIT_FAILURE;
}
