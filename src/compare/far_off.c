/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/far_off.h"

#include "base/absent.h"
#include "base/memory.h"
#include "compare/collect.h"
#include "compare/operating.h"
#include "compare/robust.h"

#include <math.h>
#include <stdlib.h>

/* Both must be exceeded: common practice. */
#define LEAST_OFF_DB 5
#define LEAST_OFF_SCATTERS 4

/* Fewer runs than these don't tell which of them is off: about a line, about their median. */
#define LEAST_RUNS_LINE 5
#define LEAST_RUNS_POINT 3

/* The line of Theil and Sen: the median of the slopes of all pairs of runs at different points, and the median of what
 * that leaves (Sen, J. American Statistical Association 63 (1968) 1379; up to 29 % of the runs may be off). `room`
 * holds count squared. */
static void about_line(const struct sample *samples, size_t count, double *room, double *rest_db)
{
    size_t pairs = 0;
    for (size_t i = 0; i < count; i++)
        for (size_t k = i + 1; k < count; k++)
            if (samples[k].value > samples[i].value * SAME_POINT_RATIO)
                room[pairs++] = (samples[k].y - samples[i].y) / log10(samples[k].value / samples[i].value);
    double slope = robust_middle(room, pairs);
    for (size_t i = 0; i < count; i++)
        room[i] = rest_db[i] = samples[i].y - slope * log10(samples[i].value);
    double level = robust_middle(room, count);
    for (size_t i = 0; i < count; i++)
        rest_db[i] -= level;
}

static void about_points(const struct sample *samples, size_t count, double *room, double *rest_db)
{
    for (size_t start = 0, end; start < count; start = end) {
        end = sample_group_end(samples, count, start);
        for (size_t i = start; i < end; i++)
            room[i - start] = samples[i].y;
        double level = robust_middle(room, end - start);
        for (size_t i = start; i < end; i++)
            rest_db[i] = end - start < LEAST_RUNS_POINT ? ABSENT : samples[i].y - level;
    }
}

/* What each run of a cell lies off, ABSENT where the others are too few. The caller frees it; NULL: no memory. */
static double *rests_of(const struct cell *cell)
{
    double *rest_db = memory_new(cell->count, sizeof *rest_db), *room = NULL;
    if (rest_db && cell->count > 0)
        room = memory_new(cell->count * cell->count, sizeof *room);
    if (room && cell->count >= LEAST_RUNS_LINE && sample_point_count(cell->samples, cell->count) >= 3)
        about_line(cell->samples, cell->count, room, rest_db);
    else if (room)
        about_points(cell->samples, cell->count, room, rest_db);
    if (!room && cell->count > 0) {
        free(rest_db);
        rest_db = NULL;
    }
    free(room);
    return rest_db;
}

static bool tell(const struct compare_job *job, const struct grid *grid, const struct sample *sample, double off_db)
{
    const struct run_result *run = &job->source.runs[sample->run];
    return collect_remark(job->out, job->err,
                          "%s (row %d, %s at %.4g %s) is %.1f dB %s than the other runs of it tell: check its "
                          "channel, gain and line of the log.",
                          run->file ? run->file : "A run", run->row, run->variant ? run->variant : "", sample->value,
                          operating_unit(grid->at), fabs(off_db), off_db > 0 ? "louder" : "quieter");
}

/* All runs of an operating point, two at least, lie off alike: no matter of one recording. */
static bool is_of_point(const struct sample *samples, const double *rests_db, size_t count, double least_db)
{
    double low_db = rests_db[0], high_db = rests_db[0];
    for (size_t i = 1; i < count; i++) {
        low_db = fmin(low_db, rests_db[i]);
        high_db = fmax(high_db, rests_db[i]);
    }
    return count > 1 && (low_db > least_db || high_db < -least_db) && high_db - low_db < least_db &&
           !samples[0].is_upper_bound;
}

static bool tell_point(const struct compare_job *job, const struct grid *grid, const struct sample *samples,
                       const double *rests_db, size_t count)
{
    const struct run_result *run = &job->source.runs[samples[0].run];
    double off_db = 0;
    for (size_t i = 0; i < count; i++)
        off_db += rests_db[i] / (double)count;
    return collect_remark(job->out, job->err,
                          "%s at %.4g %s is %.1f dB %s than its other operating points tell, in all %zu runs alike: "
                          "something may resonate there (stand, mast, blade), or was changed for that point. Record "
                          "more speeds around it.",
                          run->variant ? run->variant : "A rotor", samples[0].value, operating_unit(grid->at),
                          fabs(off_db), off_db > 0 ? "louder" : "quieter", count);
}

static bool judge_point(const struct compare_job *job, const struct grid *grid, const struct sample *samples,
                        const double *rests_db, size_t count, double least_db, bool *is_far_off)
{
    bool is_alike = is_of_point(samples, rests_db, count, least_db);
    for (size_t i = 0; i < count; i++) {
        if (samples[i].is_upper_bound || !(fabs(rests_db[i]) > least_db))
            continue;
        is_far_off[samples[i].run] = true;
        if (!is_alike && !tell(job, grid, &samples[i], rests_db[i]))
            return false;
    }
    return !is_alike || tell_point(job, grid, samples, rests_db, count);
}

static bool judge(const struct compare_job *job, const struct grid *grid, double *const *rests_db, double *sizes_db,
                  bool *is_far_off)
{
    size_t count = 0;
    for (size_t c = 0; c < grid->cell_count; c++)
        for (size_t i = 0; i < grid->cells[c].count; i++)
            if (is_given(rests_db[c][i]))
                sizes_db[count++] = fabs(rests_db[c][i]);
    if (count == 0)
        return true;
    double least_db = fmax(LEAST_OFF_DB, LEAST_OFF_SCATTERS * SCATTER_PER_MEDIAN * robust_middle(sizes_db, count));
    for (size_t c = 0; c < grid->cell_count; c++) {
        const struct cell *cell = &grid->cells[c];
        for (size_t start = 0, end; start < cell->count; start = end) {
            end = sample_group_end(cell->samples, cell->count, start);
            if (!judge_point(job, grid, &cell->samples[start], &rests_db[c][start], end - start, least_db, is_far_off))
                return false;
        }
    }
    return true;
}

bool far_off_tell(const struct compare_job *job, const struct grid *grid, bool *is_far_off, bool *any)
{
    double **rests_db = memory_new(grid->cell_count, sizeof *rests_db);
    double *sizes_db = memory_new(job->source.run_count, sizeof *sizes_db);
    bool fine = rests_db && sizes_db;
    *any = false;
    for (size_t c = 0; fine && c < grid->cell_count; c++) {
        rests_db[c] = rests_of(&grid->cells[c]);
        fine = rests_db[c];
    }
    fine = fine ? judge(job, grid, rests_db, sizes_db, is_far_off) : err_memory(job->err);
    for (size_t i = 0; fine && i < job->source.run_count; i++)
        *any = *any || is_far_off[i];
    for (size_t c = 0; rests_db && c < grid->cell_count; c++)
        free(rests_db[c]);
    free(rests_db);
    free(sizes_db);
    return fine;
}
