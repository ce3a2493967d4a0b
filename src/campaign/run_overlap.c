/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/run_overlap.h"

#include "base/absent.h"
#include "base/memory.h"
#include "campaign/text_check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct use {
    const char *file; /* borrowed from the run */
    int channel;
    double start_s, end_s;
    size_t run;
    size_t shared_with; /* a run whose sound this one has too; itself: none */
};

static int compare_runs(const void *a, const void *b)
{
    const struct use *left = a, *right = b;
    return (left->run > right->run) - (left->run < right->run);
}

static int compare_uses(const void *a, const void *b)
{
    const struct use *left = a, *right = b;
    int order = strcmp(left->file, right->file);
    if (order != 0)
        return order;
    if (left->channel != right->channel)
        return left->channel < right->channel ? -1 : 1;
    if (left->start_s != right->start_s)
        return left->start_s < right->start_s ? -1 : 1;
    return compare_runs(a, b);
}

/* Sorted uses of one file and channel begin at `first`: each that begins before the latest end so far shares sound. The
 * row that comes later in the log is the one told. */
static size_t mark_shared(struct use *uses, size_t first, size_t count)
{
    size_t latest = first, i = first + 1;
    for (; i < count && strcmp(uses[i].file, uses[first].file) == 0 && uses[i].channel == uses[first].channel; i++) {
        if (uses[i].start_s < uses[latest].end_s) {
            bool is_later = uses[i].run > uses[latest].run;
            struct use *told = is_later ? &uses[i] : &uses[latest];
            told->shared_with = is_later ? uses[latest].run : uses[i].run;
        }
        if (uses[i].end_s > uses[latest].end_s)
            latest = i;
    }
    return i;
}

void run_overlap_check(struct campaign_reader *reader, const struct csv_table *table, size_t file_column)
{
    const struct campaign *campaign = reader->campaign;
    struct use *uses = memory_new(campaign->run_count, sizeof *uses);
    size_t count = 0;
    if (!uses) {
        reader_out_of_memory(reader);
        return;
    }
    for (size_t i = 0; i < campaign->run_count; i++) {
        const struct run *run = &campaign->runs[i];
        if (run->file)
            uses[count++] = (struct use){ .file = run->file,
                                          .channel = run->channel,
                                          .start_s = is_given(run->start_s) ? run->start_s : 0,
                                          .end_s = is_given(run->end_s) ? run->end_s : HUGE_VAL,
                                          .run = i,
                                          .shared_with = i };
    }
    qsort(uses, count, sizeof *uses, compare_uses);
    for (size_t i = 0; i < count;)
        i = mark_shared(uses, i, count);
    qsort(uses, count, sizeof *uses, compare_runs);
    for (size_t i = 0; i < count; i++) {
        struct place where = { .file = reader->file };
        if (uses[i].shared_with == uses[i].run)
            continue;
        csv_table_text(table, uses[i].run + 1, file_column, &where);
        err_list_at(reader->errors, ERR_RANGE, &where,
                    "\"%s\" is on line %d already; a second row of a file needs another channel or another time",
                    excerpt(uses[i].file).text, campaign->runs[uses[i].shared_with].row);
    }
    free(uses);
}
