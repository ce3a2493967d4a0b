/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How often the 95 % interval of a difference holds the truth, over simulated campaigns of levels:
 *     coverage [CAMPAIGNS [SEED]]        default 2000 of each law, seed 1
 * of A-levels, and, in a fifth as many campaigns, of third octaves through which blade tones move ("moving"). Exit
 * status 1 when straight laws are not held in 94 to 96 % or curved ones in fewer than 93 %. */

#include "moving.h"

#include "base/num.h"

struct case_of_law {
    const char *name;
    enum truth_kind kind;
    double least_pct, most_pct;
    void (*one)(struct random *random, enum truth_kind kind, struct coverage *coverage);
    double part; /* of the campaigns */
};

static const struct case_of_law cases[] = {
    { "straight", TRUTH_STRAIGHT, 94, 96, simulate_one, 1 },
    { "parabola", TRUTH_PARABOLA, 93, 100, simulate_one, 1 },
    { "plateau", TRUTH_PLATEAU, 93, 100, simulate_one, 1 },
    { "moving, straight", TRUTH_STRAIGHT, 94, 96, moving_one, 0.2 },
    { "moving, parabola", TRUTH_PARABOLA, 93, 100, moving_one, 0.2 },
};

static bool print_case(const struct case_of_law *law, struct random random, double campaigns)
{
    struct coverage coverage = { 0 };
    for (long i = 0; i < (long)ceil(campaigns * law->part); i++)
        law->one(&random, law->kind, &coverage);
    double held_pct = coverage_pct(&coverage), count = (double)coverage.intervals;
    printf("%-17s %9ld %9ld %8.2f %10.2f %9.3f %12.3f %8ld %7ld\n", law->name, coverage.campaigns, coverage.intervals,
           held_pct, coverage_error_pct(&coverage), coverage.half_width_db / count, coverage.miss_db / count,
           coverage.refused, coverage.absent);
    return held_pct >= law->least_pct && held_pct <= law->most_pct;
}

int main(int argc, char **argv)
{
    double campaigns = 2000, seed = 1;
    if ((argc > 1 && !num_parse(argv[1], &campaigns)) || (argc > 2 && !num_parse(argv[2], &seed)) || campaigns < 1 ||
        seed < 0) {
        fprintf(stderr, "usage: coverage [CAMPAIGNS [SEED]]\n");
        return 2;
    }
    bool fine = true;
    printf("%-17s %9s %9s %8s %10s %9s %12s %8s %7s\n", "law", "campaigns", "intervals", "held, %", "std.err, %",
           "half, dB", "|error|, dB", "refused", "absent");
    for (size_t k = 0; k < sizeof cases / sizeof cases[0]; k++)
        fine = print_case(&cases[k], (struct random){ (uint64_t)seed * 1000003u + k }, campaigns) && fine;
    return fine ? EXIT_SUCCESS : EXIT_FAILURE;
}
