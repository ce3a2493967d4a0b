/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Repeats that were recorded later and lie off the earlier ones by one step: invented levels with a step of their own;
 * the limits (2 dB, three scatters, six pairs) are common practice. */
#include "tap.h"

#include "invent.h"

/* Two variants at `points` thrusts, each twice; the later ones are `step_db` off, by `scatter_db` more and less. */
static size_t told(int points, double step_db, double scatter_db, const char *text)
{
    struct invented *invented = invent_new(2);
    for (int round = 0; round < 2; round++)
        for (size_t v = 0; v < 2; v++)
            for (int i = 0; i < points; i++) {
                double odd_db = i % 2 == 0 ? scatter_db : -scatter_db;
                double level_db = 60 + 28 * log10(1.0 + i) + (round == 1 ? step_db + odd_db : 0);
                invent_run(invented, v, 1.0 + i, level_db);
            }
    struct comparisons list = invent_compare(invented, 0);
    size_t count = 0;
    for (size_t i = 0; i < list.remark_count; i++)
        count += strstr(list.remarks[i], "The later repeats of ") && strstr(list.remarks[i], text);
    comparisons_clear(&list);
    invent_free(invented);
    return count;
}

int main(void)
{
    tap_ok(told(4, -6, 0.4, " 8 of 8 pairs are quieter than the earlier ones, by ") == 1,
           "6 dB down in the second round");
    tap_ok(told(4, 3, 0.4, " 8 of 8 pairs are louder than the earlier ones, by ") == 1, "3 dB up");
    tap_ok(told(4, 1.5, 0.4, "") == 0, "1.5 dB is no step");
    tap_ok(told(4, 3, 1, "") == 0, "nor are 3 dB that scatter by 1.5");
    tap_ok(told(2, -6, 0.4, "") == 0, "four pairs tell nothing");
    return tap_done();
}
