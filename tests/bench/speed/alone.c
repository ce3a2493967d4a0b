/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each meter costs alone: a minute of 48 kHz noise with a tone, in blocks as the program feeds them, meters in
 * turn. */
#include "speed.h"

#include "base/units.h"
#include "hearing/hearing.h"
#include "meters/band_meter.h"
#include "meters/meter_list.h"
#include "recording/recording.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

#define RATE_HZ 48000
#define FRAMES ((size_t)60 * RATE_HZ)
#define ROUNDS 5
#define KINDS_MAX 16

static double cpu_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* Processor seconds; negative when the meter failed. */
static double run_alone(const struct meter_kind *kind, const double *pressure_pa)
{
    struct meter_setup setup = { .sample_rate_hz = RATE_HZ, .frame_count = FRAMES, .is_absolute = true };
    struct figures figures;
    struct err err;
    figures_init(&figures);
    double start_s = cpu_s();
    void *state = kind->create(&setup, &err);
    for (size_t at = 0; state && at < FRAMES; at += RECORDING_BLOCK_FRAMES) {
        size_t left = FRAMES - at;
        kind->feed(state, pressure_pa + at, left < RECORDING_BLOCK_FRAMES ? left : RECORDING_BLOCK_FRAMES);
    }
    bool ok = state && kind->finish(state, &figures, &err);
    if (state)
        kind->destroy(state);
    double took_s = cpu_s() - start_s;
    figures_clear(&figures);
    return ok ? took_s : -1;
}

static int by_size(const void *a, const void *b)
{
    double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

void each_meter(struct bench *bench)
{
    const struct meter_kind *kinds[KINDS_MAX];
    double took_s[KINDS_MAX][ROUNDS];
    size_t count = 0;
    for (size_t i = 0; i < level_meter_count && count < KINDS_MAX; i++)
        if (level_meters[i] != &fraction_meter) /* has nothing to do unless asked for */
            kinds[count++] = level_meters[i];
    for (size_t i = 0; i < hearing_meter_count && count < KINDS_MAX; i++)
        kinds[count++] = hearing_meters[i];
    double *pressure_pa = malloc(FRAMES * sizeof *pressure_pa);
    if (!pressure_pa)
        return;
    uint64_t state = 88172645463325252u;
    for (size_t n = 0; n < FRAMES; n++)
        pressure_pa[n] = sin(2 * PI * 140 * (double)n / RATE_HZ) + 0.2 * uniform(&state);
    for (size_t round = 0; round < ROUNDS; round++)
        for (size_t i = 0; i < count; i++)
            took_s[i][round] = run_alone(kinds[i], pressure_pa);
    for (size_t i = 0; i < count; i++) {
        char what[80];
        qsort(took_s[i], ROUNDS, sizeof *took_s[i], by_size);
        snprintf(what, sizeof what, "meter alone: %s", kinds[i]->name);
        row(bench, what, NULL, true, "%.1f ns a sample", 1e9 * took_s[i][ROUNDS / 2] / (double)FRAMES);
    }
    free(pressure_pa);
}
