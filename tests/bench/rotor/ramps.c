/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How often is the speed of a made-up rotor right that runs up or down by 10 to 30 % through the recording, with and
 * without a log? Prints the scores beside what they are to be; exit status 1 when one is missed.
 * bench-rotor-ramps [COUNT [FIRST_SEED]] [-v] */

#include "rotor/made_up_wander.h"

struct ramp_score {
    unsigned right, wrong, drift_right, count;
};

static void judge(const struct wandering *made, double log_rpm, unsigned seed, bool is_verbose,
                  struct ramp_score *score)
{
    struct rotor_figures out = with_log(&made->rotor.sound, made->rotor.blades, log_rpm);
    bool is_right = fabs(out.rpm_measured / made->rotor.rpm - 1) <= 0.002;
    score->count++;
    score->right += is_right;
    score->wrong += is_given(out.rpm_measured) && !is_right;
    score->drift_right += is_right && fabs(out.speed_drift_pct - 100 * made->drift) <= 1;
    if (is_verbose && (!is_right || fabs(out.speed_drift_pct - 100 * made->drift) > 1))
        printf("seed %u%s, %d blades %.1f rev/min, %.1f dB above noise, ramp %+.0f %%, unequal %.3f: got %.1f "
               "(%+.2f %%), drift %+.1f of %+.1f\n",
               seed, is_given(log_rpm) ? " with log" : "", made->rotor.blades, made->rotor.rpm,
               made->rotor.above_noise_db, 100 * made->drift, made->rotor.unequal, out.rpm_measured,
               100 * (out.rpm_measured / made->rotor.rpm - 1), out.speed_drift_pct, 100 * made->drift);
    rotor_figures_clear(&out);
}

int main(int argc, char **argv)
{
    bool is_verbose = argc > 1 && strcmp(argv[argc - 1], "-v") == 0;
    argc -= is_verbose;
    unsigned count = argc > 1 ? (unsigned)strtoul(argv[1], NULL, 10) : 100;
    unsigned first = argc > 2 ? (unsigned)strtoul(argv[2], NULL, 10) : 1;
    static const double ramps[] = { 0.10, -0.10, 0.15, -0.15, 0.20, -0.20, 0.30, -0.30 };
    bool is_met = true;
    for (size_t i = 0; i < sizeof ramps / sizeof *ramps; i++) {
        struct ramp_score scores[2] = { { 0 }, { 0 } };
        for (unsigned seed = first; seed < first + count; seed++) {
            struct wandering made = made_up_ramp(seed + 1000 * (unsigned)i, ramps[i]);
            judge(&made, ABSENT, seed, is_verbose, &scores[0]);
            judge(&made, made.rotor.rpm * (1 + made.rotor.log_off), seed, is_verbose, &scores[1]);
            free(made.rotor.sound.pa);
        }
        for (size_t n = 0; n < 2; n++) {
            double right_pct = 100.0 * scores[n].right / scores[n].count;
            double wrong_pct = 100.0 * scores[n].wrong / scores[n].count;
            double drift_pct = 100.0 * scores[n].drift_right / fmax(scores[n].right, 1);
            bool is_fine = right_pct >= 90 && wrong_pct <= 2 && drift_pct >= 90;
            is_met = is_met && is_fine;
            printf(
                "%+3.0f %%, %s log: mean within 0.2 %% in %5.1f %% (goal: at least 90 %%), wrong %4.1f %% (at most 2 "
                "%%); of the right ones the drift within 1 %% in %5.1f %% (at least 90 %%) %s\n",
                100 * ramps[i], n == 0 ? "no  " : "with", right_pct, wrong_pct, drift_pct, is_fine ? "met" : "MISSED");
        }
    }
    return is_met ? EXIT_SUCCESS : EXIT_FAILURE;
}
