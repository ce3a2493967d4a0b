/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_METER_H
#define THRUM_METERS_METER_H

/* A meter is fed every block of a recording once and then gives its figures. It holds memory that does not grow with
 * the length (a meter that must says so). A new quantity is a new meter in one file and one line in the list of meters.
 */

#include "base/err.h"
#include "meters/figures.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct meter_setup {
    double sample_rate_hz;
    uint64_t preroll_frames;  /* fed first, to settle filters; not part of any figure */
    uint64_t frame_count;     /* of the used part, fed after the preroll */
    bool is_absolute;         /* pressure is in pascals; false: levels are dBFS */
    int bands_per_octave;     /* beside third octaves: 1, 6, 12, 24; 0 or 3: none */
    bool is_diffuse;          /* sound field for loudness */
    double expected_blade_hz; /* lowest blade tone by the log, ABSENT without; the spectrum's resolution suits it */
};

struct meter_kind {
    const char *name;
    void *(*create)(const struct meter_setup *setup, struct err *err); /* NULL: err is filled */
    void (*feed)(void *state, const double *pressure_pa, size_t frame_count);
    bool (*finish)(void *state, struct figures *figures, struct err *err) MUST_CHECK;
    void (*destroy)(void *state); /* NULL is fine */
};

#endif
