/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_TESTS_METERS_RIG_H
#define THRUM_TESTS_METERS_RIG_H

/* Test signals and meters run over them. A test that runs out of memory or finds a meter that can't be made ends
 * itself. */

#include "meters/meter.h"

#include <stddef.h>
#include <stdint.h>

struct signal {
    double rate_hz;
    double *pa;                         /* owned */
    size_t preroll_frames, frame_count; /* the preroll comes first in pa */
};

struct signal signal_new(double rate_hz, double preroll_s, double seconds);
void signal_clear(struct signal *signal);

/* A sine of this root mean square over all of it, phase in turns at the start of the used part. */
struct signal signal_sine(double rate_hz, double hz, double rms_pa, double preroll_s, double seconds);

/* The same with a used part of whole half periods, so that its mean square is exact. */
struct signal signal_whole_sine(double rate_hz, double hz, double rms_pa, double preroll_s, double seconds);
void signal_add_sine(struct signal *signal, double hz, double rms_pa, double turns);

/* Gaussian noise of this root mean square from a fixed seed. */
void signal_add_noise(struct signal *signal, double rms_pa, uint64_t seed);

/* Exponential sweep over the used part. */
void signal_add_sweep(struct signal *signal, double from_hz, double to_hz, double rms_pa);

/* Runs a meter over the signal, fed in blocks of block_frames (0: 8192). figures_clear is the caller's. */
void rig_run(const struct meter_kind *kind, const struct signal *signal, int bands_per_octave, size_t block_frames,
             struct figures *figures);

/* Level figures only. */
struct levels rig_levels(const struct signal *signal);

#endif
