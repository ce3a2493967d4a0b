/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_HEARING_SIGNALS_H
#define THRUM_TESTS_HEARING_SIGNALS_H

/* Signals of known pressure, and a meter run over them. Noise: splitmix64 and Box-Muller from a fixed seed. */

#include "base/absent.h"
#include "base/units.h"
#include "meters/meter.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

struct signal {
    double *pa;
    size_t count;
    double rate_hz;
};

static inline struct signal signal_new(double rate_hz, double duration_s)
{
    size_t count = (size_t)llround(rate_hz * duration_s);
    struct signal signal = { calloc(count, sizeof(double)), count, rate_hz };
    if (!signal.pa)
        abort();
    return signal;
}

/* Adds a sine of a level, amplitude-modulated by 1 + depth sin(2 pi f_mod t); the level is the carrier's. */
static inline void add_am_tone(struct signal *signal, double hz, double level_db, double modulation_hz, double depth)
{
    double amplitude_pa = sqrt(2 * db_to_pa2(level_db));
    for (size_t i = 0; i < signal->count; i++) {
        double t = (double)i / signal->rate_hz;
        signal->pa[i] += amplitude_pa * (1 + depth * sin(2 * PI * modulation_hz * t)) * sin(2 * PI * fmod(hz * t, 1));
    }
}

static inline void add_tone(struct signal *signal, double hz, double level_db)
{
    add_am_tone(signal, hz, level_db, 0, 0);
}

static inline double random_unit(uint64_t *state)
{
    uint64_t z = (*state += 0x9e3779b97f4a7c15u);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return ((double)((z ^ (z >> 31)) >> 11) + 0.5) * 0x1p-53;
}

/* White Gaussian noise of a spectrum level, dB re (20 uPa)^2/Hz. */
static inline void add_white_noise(struct signal *signal, double density_db, uint64_t seed)
{
    double rms_pa = sqrt(db_to_pa2(density_db) * signal->rate_hz / 2);
    for (size_t i = 0; i < signal->count; i++)
        signal->pa[i] += rms_pa * sqrt(-2 * log(random_unit(&seed))) * cos(2 * PI * random_unit(&seed));
}

/* Feeds a meter in blocks of the given size; figures are initialised here, to be cleared by the caller. */
static inline bool run_meter(const struct meter_kind *kind, const struct meter_setup *setup,
                             const struct signal *signal, size_t block, struct figures *figures)
{
    struct err err = { 0 };
    figures_init(figures);
    void *state = kind->create(setup, &err);
    if (!state)
        return false;
    for (size_t from = 0; from < signal->count; from += block)
        kind->feed(state, signal->pa + from, from + block < signal->count ? block : signal->count - from);
    bool done = kind->finish(state, figures, &err);
    kind->destroy(state);
    return done;
}

/* A published curve and ours beside it, as a comment of the test protocol: told, not asked for. tests/hearing/checks.py
 * puts it into docs/hearing.md. */
static inline void tell_series(const char *what, const double *published, const double *got, size_t count)
{
    printf("# series | %s |", what);
    for (int column = 0; column < 2; column++) {
        for (size_t i = 0; i < count; i++)
            printf("%s%.2f", i == 0 ? " " : "/", column == 0 ? published[i] : got[i]);
        printf(" |");
    }
    putchar('\n');
}

static inline struct meter_setup setup_of(const struct signal *signal)
{
    return (struct meter_setup){ .sample_rate_hz = signal->rate_hz,
                                 .frame_count = signal->count,
                                 .is_absolute = true,
                                 .expected_blade_hz = ABSENT };
}

/* Hearing figures of a signal by one meter; the course of loudness is dropped. */
static inline struct hearing_figures hearing_by(const struct meter_kind *kind, const struct signal *signal,
                                                size_t block, bool is_diffuse)
{
    struct figures figures;
    struct meter_setup setup = setup_of(signal);
    setup.is_diffuse = is_diffuse;
    if (!run_meter(kind, &setup, signal, block, &figures))
        abort();
    struct hearing_figures hearing = figures.hearing;
    hearing.loudness_sone = NULL;
    figures_clear(&figures);
    return hearing;
}

#endif
