/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/same_points.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"

#include <math.h>
#include <stdlib.h>

struct group {
    double lg_value;
    struct estimate mean;
};

static size_t groups_of(const struct cell *cell, struct group *groups)
{
    size_t count = 0;
    for (size_t start = 0, end; start < cell->count; start = end) {
        end = sample_group_end(cell->samples, cell->count, start);
        double size = (double)(end - start);
        struct group group = { .mean = { .is_given = true, .leverage = 1 / size, .run_count = (int)(end - start) } };
        for (size_t i = start; i < end; i++) {
            const struct sample *sample = &cell->samples[i];
            group.lg_value += log10(sample->value) / size;
            group.mean.y += sample->y / size;
            group.mean.background_per_db += sample->is_upper_bound ? 0 : sample->background_per_db / size;
            group.mean.is_upper_bound = group.mean.is_upper_bound || sample->is_upper_bound;
        }
        group.mean.slope = ABSENT;
        groups[count++] = group;
    }
    return count;
}

static size_t nearest(const struct group *groups, size_t count, double lg_value)
{
    size_t best = 0;
    for (size_t i = 1; i < count; i++)
        if (fabs(groups[i].lg_value - lg_value) < fabs(groups[best].lg_value - lg_value))
            best = i;
    return best;
}

bool same_points_find(const struct cell *variant, const struct cell *reference, struct same_point **points,
                      size_t *count, struct err *err)
{
    struct group *ours = memory_new(variant->count, sizeof *ours);
    struct group *theirs = memory_new(reference->count, sizeof *theirs);
    struct same_point *found = memory_new(variant->count, sizeof *found);
    *count = 0;
    if (!ours || !theirs || !found) {
        free(ours);
        free(theirs);
        free(found);
        return err_memory(err);
    }
    size_t our_count = groups_of(variant, ours), their_count = groups_of(reference, theirs);
    for (size_t i = 0; i < our_count && their_count > 0; i++) {
        size_t k = nearest(theirs, their_count, ours[i].lg_value);
        double lg_ratio = ours[i].lg_value - theirs[k].lg_value;
        if (nearest(ours, our_count, theirs[k].lg_value) != i || fabs(lg_ratio) > log10(SAME_POINT_RATIO))
            continue;
        found[(*count)++] = (struct same_point){
            .value = sqrt(db_to_power_ratio(10 * ours[i].lg_value) * db_to_power_ratio(10 * theirs[k].lg_value)),
            .lg_ratio = lg_ratio,
            .variant = ours[i].mean,
            .reference = theirs[k].mean,
        };
    }
    free(ours);
    free(theirs);
    *points = found;
    return true;
}

double same_point_mismatch_db(enum operating_quantity at, double lg_ratio)
{
    switch (at) {
    case OPERATING_RPM:
    case OPERATING_TIP_SPEED_M_S:
    case OPERATING_THROTTLE_PCT:
        return 60 * fabs(lg_ratio);
    case OPERATING_THRUST_N:
        return 30 * fabs(lg_ratio);
    case OPERATING_POWER_W:
        return 20 * fabs(lg_ratio);
    case OPERATING_QUANTITY_COUNT:
        return ABSENT;
    }
    return ABSENT;
}
