/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recording/ceiling.h"

#include <math.h>

/* A run this long counts at a ceiling below full scale, where two equal samples may be chance. */
#define RUN_LEAST 3
#define RUN_LEAST_FULL_SCALE 2
#define ROUNDING_QUANTA 3 /* three roundings of half a quantum, the top's counted twice, and one to spare */

void ceiling_init(struct ceiling *ceiling, double sign, int bits)
{
    double quantum = ldexp(1, bits > 0 && bits < 16 ? 1 - bits : -15);
    *ceiling = (struct ceiling){ .sign = sign,
                                 .quantum = quantum,
                                 .full_scale = 1 - 1.5 * ldexp(1, bits > 0 ? 1 - bits : -15),
                                 .value = -HUGE_VAL };
}

static void close_run(struct ceiling *ceiling, double after)
{
    uint64_t least = ceiling->value >= ceiling->full_scale ? RUN_LEAST_FULL_SCALE : RUN_LEAST;
    double corner = 2 * ceiling->value - ceiling->before - after;
    double round = 1 + 2 / (double)ceiling->open_count;
    if (ceiling->open_count >= least && corner > (2 * round * round + ROUNDING_QUANTA) * ceiling->quantum) {
        ceiling->run_count++;
        ceiling->frame_count += ceiling->open_count;
    }
    ceiling->open_count = 0;
}

bool ceiling_feed(struct ceiling *ceiling, const double *samples, size_t frame_count, double most)
{
    if (frame_count == 0)
        return false;
    bool rose = false;
    if (ceiling->open_count > 0 || most >= ceiling->value) {
        for (size_t i = 0; i < frame_count; i++) {
            double value = ceiling->sign * samples[i];
            if (value > ceiling->value) {
                ceiling->value = value;
                ceiling->run_count = ceiling->frame_count = 0;
                ceiling->open_count = 0;
                rose = true;
            }
            if (value == ceiling->value) {
                if (ceiling->open_count == 0)
                    ceiling->before = ceiling->latest;
                ceiling->open_count++;
            } else if (ceiling->open_count > 0) {
                close_run(ceiling, value);
            }
            ceiling->latest = value;
        }
    }
    ceiling->latest = ceiling->sign * samples[frame_count - 1];
    return rose;
}
