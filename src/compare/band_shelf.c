/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/band_shelf.h"

#include "base/memory.h"

#include <stdlib.h>

void band_shelf_clear(struct band_shelf *shelf)
{
    for (size_t i = 0; i < shelf->count; i++)
        grid_clear(&shelf->items[i].grid);
    free(shelf->items);
    *shelf = (struct band_shelf){ 0 };
}

static bool is_on(const struct shelved *item, int band_index, bool is_lawless, double value)
{
    return item->band_index == band_index && item->is_lawless == is_lawless &&
           !(item->value < value || item->value > value);
}

/* NULL when there is no memory or a fit fails. */
static const struct grid *take(const struct compare_job *job, struct band_shelf *shelf, const struct grid *plain,
                               bool is_lawless, double value)
{
    int band_index = plain->quantity.band_index;
    for (size_t i = 0; i < shelf->count; i++)
        if (is_on(&shelf->items[i], band_index, is_lawless, value))
            return &shelf->items[i].grid;
    void *items = shelf->items;
    if (!memory_grow(&items, &shelf->capacity, shelf->count + 1, sizeof *shelf->items)) {
        err_memory(job->err);
        return NULL;
    }
    shelf->items = items;
    struct shelved *item = &shelf->items[shelf->count];
    *item = (struct shelved){ .band_index = band_index, .is_lawless = is_lawless, .value = value };
    bool (*build)(const struct grid_source *, enum operating_quantity, const struct quantity *, double, struct grid *,
                  struct err *) = is_lawless ? grid_build_lawless : grid_build_placed;
    bool made = build(&job->source, plain->at, &plain->quantity, value, &item->grid, job->err);
    shelf->count += made;
    return made ? &item->grid : NULL;
}

bool band_shelf_estimate(const struct compare_job *job, struct band_shelf *shelf, const struct grid *plain,
                         const struct pairing *pairing, const struct place_of_comparison *place,
                         struct pair_estimates *out, const struct grid **used, bool *at_same_points)
{
    bool has_tones = pairing_has_tones(plain, pairing);
    *at_same_points = place->at_same_points;
    if (!place->at_same_points) {
        *used = take(job, shelf, plain, false, place->value);
        if (!*used || !pair_estimate(job, *used, pairing, place, out))
            return false;
        if (out->is_given || !has_tones)
            return true;
    }
    const struct place_of_comparison same_points = { place->value, true };
    const struct grid *grid = has_tones ? take(job, shelf, plain, true, place->value) : plain;
    struct pair_estimates there;
    if (!grid || !pair_estimate(job, grid, pairing, &same_points, &there))
        return false;
    if (place->at_same_points || there.is_given) {
        *out = there;
        *used = grid;
        *at_same_points = true;
    } else {
        *used = take(job, shelf, plain, false, place->value); /* the shelf may have moved */
    }
    return true;
}
