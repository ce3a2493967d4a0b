/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/units.h"
#include "meters/at_reference.h"
#include "meters/meter_list.h"

/* Every allocation of a meter fails once: the error is told, nothing leaks (the sanitizer build says so), nothing
 * crashes. The linker sends calloc here. */

void *__real_calloc(size_t count, size_t size);
void *__wrap_calloc(size_t count, size_t size);

static long calls_until_failure = -1; /* negative: none fails */

void *__wrap_calloc(size_t count, size_t size)
{
    if (calls_until_failure == 0)
        return NULL;
    if (calls_until_failure > 0)
        calls_until_failure--;
    return __real_calloc(count, size);
}

#define FRAMES 20000

/* True when it ran to its end. */
static bool run(const struct meter_kind *kind, const double *pressure_pa, struct figures *figures, struct err *err)
{
    struct meter_setup setup = { .sample_rate_hz = 48000, .frame_count = FRAMES, .bands_per_octave = 6 };
    void *state = kind->create(&setup, err);
    if (!state)
        return false;
    kind->feed(state, pressure_pa, FRAMES);
    bool is_done = kind->finish(state, figures, err);
    kind->destroy(state);
    return is_done;
}

static void meters_fail(const double *pressure_pa)
{
    for (size_t i = 0; i < level_meter_count; i++) {
        bool is_done = false, is_told = true;
        long failing = 0;
        for (; !is_done && failing < 200; failing++) {
            struct figures figures;
            struct err err = { 0 };
            figures_init(&figures);
            calls_until_failure = failing;
            is_done = run(level_meters[i], pressure_pa, &figures, &err);
            calls_until_failure = -1;
            is_told = is_told && (is_done || err.kind == ERR_MEMORY);
            figures_clear(&figures);
        }
        tap_ok(is_done && is_told && failing > 1, "%s: each of %ld allocations failed in turn and was told",
               level_meters[i]->name, failing - 1);
    }
}

static void reference_fails(const double *pressure_pa)
{
    struct figures figures;
    struct err err = { 0 };
    figures_init(&figures);
    bool is_measured = run(level_meters[1], pressure_pa, &figures, &err);
    struct reference_conditions conditions = { 1, 1, { NAN, NAN, NAN, NAN }, NULL };
    struct at_reference out = { .laeq_db = 5 };
    struct findings findings = { 0 };
    calls_until_failure = 0;
    bool is_computed = at_reference_compute(&figures, &conditions, &out, &findings, &err);
    calls_until_failure = -1;
    tap_ok(is_measured && !is_computed && err.kind == ERR_MEMORY && !(out.laeq_db < 5) && !(out.laeq_db > 5),
           "no memory for the reference: told, and the result untouched");
    figures_clear(&figures);
}

int main(void)
{
    static double pressure_pa[FRAMES];
    for (int i = 0; i < FRAMES; i++)
        pressure_pa[i] = sin(2 * PI * 1000 * i / 48000.0);
    meters_fail(pressure_pa);
    reference_fails(pressure_pa);
    return tap_done();
}
