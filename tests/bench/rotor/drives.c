/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How many tones of made-up belt and gear drives get the right source, and how often is the speed right without a log?
 * Prints the scores beside what they are to be; exit status 1 when one is missed. bench-rotor-drives [COUNT
 * [FIRST_SEED]] [-v] */

#include "rotor/drive_score.h"

int main(int argc, char **argv)
{
    bool is_verbose = argc > 1 && strcmp(argv[argc - 1], "-v") == 0;
    argc -= is_verbose;
    unsigned count = argc > 1 ? (unsigned)strtoul(argv[1], NULL, 10) : 100;
    unsigned first = argc > 2 ? (unsigned)strtoul(argv[2], NULL, 10) : 1;
    struct drive_score score = { 0 };
    for (unsigned seed = first; seed < first + count; seed++) {
        struct made_up_drive drive;
        made_up_drive(seed, &drive);
        if (is_verbose)
            printf("# seed %u\n", seed);
        drive_score_add(&drive, is_verbose, &score);
        drive_score_no_log(&drive, is_verbose, &score);
        free(drive.sound.pa);
    }
    double right_pct = 100.0 * score.right / fmax(score.tones, 1);
    double chance = score.plants_by_chance / count * score.plants;
    double most = chance + 2 * sqrt(chance) + 1; /* two standard deviations of a count, and one */
    printf("tones with the right source   %5.1f %% of %d (goal: at least 95 %%) %s\n", right_pct, score.tones,
           right_pct >= 95 ? "met" : "MISSED");
    printf("... as first choice           %5.1f %% (no goal)\n", 100.0 * score.first / fmax(score.tones, 1));
    printf("plants given a source         %d of %d (by chance %.1f, at most %.1f) %s\n", score.plants_named,
           score.plants, chance, most, score.plants_named <= most ? "met" : "MISSED");
    double speeds_pct = 100.0 * score.speeds_right / count, wrong_pct = 100.0 * score.speeds_wrong / count;
    bool is_speed_met = speeds_pct >= 70 && wrong_pct <= 2;
    printf("speed without a log           %5.1f %% right, %.1f %% wrong of %u (goal: at least 70, at most 2 %%) %s\n",
           speeds_pct, wrong_pct, count, is_speed_met ? "met" : "MISSED");
    printf("slips told that are none      %d (goal: 0) %s\n", score.slips, score.slips == 0 ? "met" : "MISSED");
    return right_pct >= 95 && score.plants_named <= most && score.slips == 0 && is_speed_met ? EXIT_SUCCESS
                                                                                             : EXIT_FAILURE;
}
