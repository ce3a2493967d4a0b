/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/rounds.h"

#include "base/memory.h"
#include "compare/collect.h"
#include "compare/robust.h"

#include <math.h>
#include <stdlib.h>

/* A step is told from so many pairs on, from so many dB on, and where it is so many times what the pairs scatter:
 * common practice. */
#define LEAST_PAIRS 6
#define LEAST_STEP_DB 2
#define LEAST_STEP_SCATTERS 3

/* First and last repeat of a point in the order of the log; the difference is appended. */
static void add_pair(const struct compare_job *job, const struct sample *samples, size_t count, double *steps_db,
                     size_t *step_count)
{
    const struct sample *first = &samples[0], *last = &samples[0];
    for (size_t i = 0; i < count; i++) {
        if (samples[i].is_upper_bound)
            return;
        if (job->source.runs[samples[i].run].row < job->source.runs[first->run].row)
            first = &samples[i];
        if (job->source.runs[samples[i].run].row > job->source.runs[last->run].row)
            last = &samples[i];
    }
    if (first != last)
        steps_db[(*step_count)++] = last->y - first->y;
}

static bool tell(const struct compare_job *job, double *steps_db, size_t count)
{
    double step_db = robust_middle(steps_db, count);
    size_t alike = 0;
    for (size_t i = 0; i < count; i++)
        alike += steps_db[i] * step_db > 0;
    for (size_t i = 0; i < count; i++)
        steps_db[i] = fabs(steps_db[i] - step_db);
    double scatter_db = SCATTER_PER_MEDIAN * robust_middle(steps_db, count);
    if (fabs(step_db) < LEAST_STEP_DB || fabs(step_db) < LEAST_STEP_SCATTERS * scatter_db)
        return true;
    return collect_remark(
        job->out, job->err,
        "The later repeats of %zu of %zu pairs are %s than the earlier ones, by %.1f dB (the pairs scatter by %.1f "
        "dB): gain, "
        "microphone or place was changed between rounds of the campaign, and the intervals are as wide as that. "
        "Take one round out of the log, or calibrate each.",
        alike, count, step_db > 0 ? "louder" : "quieter", fabs(step_db), scatter_db);
}

bool rounds_tell(const struct compare_job *job, const struct grid *grid)
{
    double *steps_db = memory_new(job->source.run_count, sizeof *steps_db);
    size_t count = 0;
    if (!steps_db)
        return err_memory(job->err);
    for (size_t c = 0; c < grid->cell_count; c++) {
        const struct cell *cell = &grid->cells[c];
        for (size_t start = 0, end; start < cell->count; start = end) {
            end = sample_group_end(cell->samples, cell->count, start);
            add_pair(job, &cell->samples[start], end - start, steps_db, &count);
        }
    }
    bool fine = count < LEAST_PAIRS || tell(job, steps_db, count);
    free(steps_db);
    return fine;
}
