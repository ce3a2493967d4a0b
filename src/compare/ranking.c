/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/ranking.h"

#include "base/memory.h"
#include "base/text.h"
#include "compare/collect.h"
#include "compare/operating.h"

#include <math.h>
#include <stdlib.h>

struct rank {
    size_t variant;
    double level_db;
};

static int by_level(const void *left, const void *right)
{
    const struct rank *a = left, *b = right;
    if (a->level_db < b->level_db || a->level_db > b->level_db)
        return a->level_db < b->level_db ? -1 : 1;
    return (a->variant > b->variant) - (a->variant < b->variant);
}

/* Variants with a fitted level there, quietest first. */
static size_t levels_there(const struct campaign *campaign, const struct grid *grid, size_t microphone, double value,
                           struct rank *ranks)
{
    size_t count = 0;
    for (size_t variant = 0; variant < campaign->variant_count; variant++) {
        const struct cell *cell = grid_cell(grid, variant, microphone);
        struct estimate estimate;
        if (!cell)
            continue;
        grid_estimate(grid, cell, value, &estimate);
        if (estimate.is_given)
            ranks[count++] = (struct rank){ variant, estimate.y };
    }
    if (count > 1)
        qsort(ranks, count, sizeof *ranks, by_level);
    return count;
}

static bool is_clearly_quieter(const struct compare_job *job, const struct grid *grid, size_t microphone, size_t quiet,
                               size_t loud, double value, bool *clear)
{
    struct pairing pairing = { quiet, loud, microphone, microphone };
    struct place_of_comparison place = { value, false };
    struct difference difference;
    if (!pair_difference(job, grid, &pairing, &place, &difference))
        return false;
    *clear = difference.is_given && difference.high < 0;
    return true;
}

/* Whether every variant up to `last` is clearly quieter than every one behind it. */
static bool step_after(const struct compare_job *job, const struct grid *grid, size_t microphone,
                       const struct rank *ranks, size_t count, size_t last, double value, bool *clear)
{
    *clear = true;
    for (size_t i = 0; i <= last && *clear; i++)
        for (size_t k = last + 1; k < count && *clear; k++)
            if (!is_clearly_quieter(job, grid, microphone, ranks[i].variant, ranks[k].variant, value, clear))
                return false;
    return true;
}

static bool tell_there(const struct compare_job *job, const struct grid *grid, size_t microphone, double value,
                       struct rank *ranks)
{
    const struct campaign *campaign = job->source.campaign;
    size_t count = levels_there(campaign, grid, microphone, value, ranks), steps = 0;
    if (count < 2)
        return true;
    struct text order = { 0 };
    bool fine = true;
    for (size_t i = 0; i < count && fine; i++) {
        bool clear = true;
        text_add(&order, campaign->variants[ranks[i].variant].name);
        if (i + 1 == count)
            break;
        fine = step_after(job, grid, microphone, ranks, count, i, value, &clear);
        text_add(&order, clear ? ", then " : " or ");
        steps += clear;
    }
    if (order.failed)
        fine = err_memory(job->err);
    const char *of = campaign->microphone_count > 1 ? " at microphone " : "";
    const char *name = campaign->microphone_count > 1 ? campaign->microphones[microphone].name : "";
    if (fine && steps > 0)
        fine = collect_remark(job->out, job->err, "Ranking at %.4g %s%s%s, quietest first: %s.", value,
                              operating_unit(grid->at), of, name, order.data);
    else if (fine)
        fine = collect_remark(job->out, job->err, "No ranking at %.4g %s%s%s: the intervals tell none apart.", value,
                              operating_unit(grid->at), of, name);
    text_clear(&order);
    return fine;
}

bool ranking_tell(const struct compare_job *job, const struct axis *axis, const struct grid *grid)
{
    const struct campaign *campaign = job->source.campaign;
    struct rank *ranks = memory_new(campaign->variant_count, sizeof *ranks);
    if (!ranks)
        return err_memory(job->err);
    bool fine = true;
    for (size_t i = 0; i < axis->points.count && fine; i++)
        for (size_t microphone = 0; microphone < campaign->microphone_count && fine; microphone++)
            fine = tell_there(job, grid, microphone, axis->points.values[i], ranks);
    free(ranks);
    return fine;
}
