/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/skirts.h"

#include "base/memory.h"
#include "base/units.h"
#include "meters/band.h"
#include "meters/band_meter.h"

#include <stdlib.h>

static const struct skirts *find(const struct skirts_set *set, double sample_rate_hz)
{
    for (size_t i = 0; i < set->count; i++)
        if (!(set->items[i].sample_rate_hz < sample_rate_hz || set->items[i].sample_rate_hz > sample_rate_hz))
            return &set->items[i];
    return NULL;
}

static void design(double sample_rate_hz, struct skirts *out)
{
    int first;
    size_t count;
    band_range(3, sample_rate_hz, &first, &count);
    *out = (struct skirts){ .sample_rate_hz = sample_rate_hz };
    for (size_t i = 0; i < count; i++) {
        int index = first + (int)i, place = index - SKIRTS_BAND_LOWEST;
        struct band band = band_make(3, index);
        if (place >= 0 && place < SKIRTS_BAND_COUNT)
            out->bands[place] = band_meter_response(&band, sample_rate_hz);
    }
}

bool skirts_make(const struct run_result *runs, size_t run_count, struct skirts_set *out, struct err *err)
{
    struct skirts_set set = { memory_new(run_count, sizeof *set.items), 0 };
    if (!set.items)
        return err_memory(err);
    for (size_t i = 0; i < run_count; i++)
        if (runs[i].sample_rate_hz > 0 && !find(&set, runs[i].sample_rate_hz))
            design(runs[i].sample_rate_hz, &set.items[set.count++]);
    *out = set;
    return true;
}

void skirts_clear(struct skirts_set *set)
{
    free(set->items);
    *set = (struct skirts_set){ 0 };
}

double skirts_energy(const struct skirts_set *set, const struct run_result *run, int band_index, double tone_hz,
                     double tone_level_db)
{
    const struct skirts *skirts = find(set, run->sample_rate_hz);
    int place = band_index - SKIRTS_BAND_LOWEST;
    if (!skirts || place < 0 || place >= SKIRTS_BAND_COUNT || !(skirts->bands[place].rate_hz > 0))
        return 0;
    return db_to_power_ratio(tone_level_db) * band_response_ratio(&skirts->bands[place], tone_hz);
}
