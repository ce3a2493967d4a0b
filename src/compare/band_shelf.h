/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_BAND_SHELF_H
#define THRUM_COMPARE_BAND_SHELF_H

/* Both levels of a third octave at a place: from laws through the runs with their tones where they lie there
 * (placing.h); where that can't be, from points that coincide within 2 %; else not at all, with the reason. Grids are
 * made once for each place and kept: the shelf owns them. */

#include "compare/pairing.h"

#include <stdbool.h>
#include <stddef.h>

struct shelved {
    int band_index;
    bool is_lawless;
    double value;
    struct grid grid;
};

struct band_shelf {
    struct shelved *items;
    size_t count, capacity;
};

void band_shelf_clear(struct band_shelf *shelf);

/* `plain`: the grid of the band as recorded. *used is the grid that the estimates came from; it lives until the next
 * call with this shelf. *at_same_points: they are of coinciding points. */
bool band_shelf_estimate(const struct compare_job *job, struct band_shelf *shelf, const struct grid *plain,
                         const struct pairing *pairing, const struct place_of_comparison *place,
                         struct pair_estimates *out, const struct grid **used, bool *at_same_points) MUST_CHECK;

#endif
