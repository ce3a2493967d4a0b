/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "failing_memory.h"
#include "tap.h"

#include "invent.h"

/* Every allocation of a comparison fails once: the linker sends calls of calloc, malloc and realloc here (--wrap). Each
 * failure must come back as ERR_MEMORY and leave nothing behind (checked under the address sanitizer and valgrind). */

/* Two variants at four thrusts with speeds, two bands, shares, one upper bound, one doubtful, one unusable run. */
static struct invented *small_campaign(void)
{
    struct invented *invented = invent_new(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 0; i < 5; i++) {
            double levels_db[2] = { 50 + i, 48 + i };
            struct run_result *run = invent_run(invented, v, 1 + i, 55 + 2 * i + 0.1 * (i % 2) - (double)v);
            run->rpm_given = 4000 + 500 * i;
            run->power_w = 10 + 5 * i;
            run->rotor.shares = (struct shares){ 50, 5, 5, 40 };
            invent_bands(run, 0, levels_db, 2);
        }
    invented->runs[0].at_reference.is_upper_bound = true;
    findings_add(&invented->runs[2].findings, "gusts", SEVERITY_DOUBTFUL, ABSENT, "gusts");
    findings_add(&invented->runs[8].findings, "clipped", SEVERITY_UNUSABLE, ABSENT, "clipped");
    return invented;
}

int main(void)
{
    struct invented *invented = small_campaign();
    struct compare_request request = { &invented->campaign, 0 };
    long failures = 0, wrong = 0;
    bool done = false;
    while (!done && failures < 100000) {
        struct comparisons list = { 0 };
        struct err err = { 0 };
        allocations_left = failures;
        done = compare_runs(&request, invented->runs, invented->run_count, &list, &err);
        bool met = allocations_left < 0;
        allocations_left = -1;
        if (done && met) { /* it went on without the memory */
            wrong++;
            done = false;
        }
        wrong += !done && (err.kind != ERR_MEMORY || list.items || list.count > 0);
        comparisons_clear(&list);
        failures += !done;
    }
    tap_ok(done, "succeeds once every allocation does");
    tap_ok(failures > 100 && wrong == 0, "each of %ld failures is told as one of memory (%ld are not)", failures,
           wrong);
    invent_free(invented);
    return tap_done();
}
