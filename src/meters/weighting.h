/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_WEIGHTING_H
#define THRUM_METERS_WEIGHTING_H

/* Frequency weightings A, C and Z of IEC 61672-1:2013, 5.5 and Annex E, as filters for any sampling rate.
 *
 * The poles of the analogue weighting are mapped by z = exp(s/rate). What that leaves wrong near half the rate is put
 * right by numerators of three taps, fitted when the filter is made: the squared magnitude of a numerator is linear in
 * its autocorrelation, so a least-squares fit to the analytic curve is one small linear system; its minimum-phase
 * factor is the numerator. One pole at z = -1/2 more makes three taps enough.
 *
 * Measured error against the analytic curve, 10 Hz to min(20 kHz, 0.45 rate), 8 to 384 kHz: below 0.04 dB
 * (tests/meters/check_weightings.c). A is C with one section more, so that a meter which wants both pays once.
 *
 * Z is flat; to keep an offset of the converter out of it, it has a high-pass of one pole at 1 Hz (-0.043 dB at 10 Hz;
 * the standard leaves Z free below 10 Hz).
 *
 * Before its first frame a filter takes the signal to have stood at that frame's value for ever: an offset makes no
 * click. */

#include "base/err.h"
#include "meters/cascade.h"

#include <stdbool.h>
#include <stddef.h>

enum weighting { WEIGHTING_A, WEIGHTING_C, WEIGHTING_Z };

/* Analytic weighting, dB re 1 kHz; -INFINITY at 0 Hz for A and C. */
double weighting_db(enum weighting weighting, double hz);

/* The same as a ratio of powers. */
double weighting_power_ratio(enum weighting weighting, double hz);

#define WEIGHTING_EXTRA_POLE (-0.5)

struct weighting_coefficients {
    double sample_rate_hz;
    double pole_low, pole_high; /* of C, each double: 20.6 Hz and 12.2 kHz */
    double c_taps[3];           /* gain 1 at 1 kHz; the two zeros at 0 Hz are apart from these */
    double pole_a2, pole_a3;    /* of A: 107.7 Hz and 737.9 Hz */
    double a_taps[3];           /* as for C */
    double pole_z, gain_z;
};

struct weighting_filter {
    struct weighting_coefficients coefficients;
    struct cascade c, a_of_c, z;
    bool is_started;
};

/* False when the rate is not within 8 to 384 kHz (with 1 % to spare). */
bool weighting_init(struct weighting_filter *filter, double sample_rate_hz, struct err *err) MUST_CHECK;

/* All three weightings of `frame_count` frames, a multiple of LANES. CASCADE_MARGIN values of the past stand
 * before pressure_pa and c_pa; only in the first call, where there is no past, what stands before pressure_pa is filled
 * in here. */
void weighting_run(struct weighting_filter *filter, double *pressure_pa, size_t frame_count, double *a_pa, double *c_pa,
                   double *z_pa);

/* What the filter really does, dB: the response of its coefficients. */
double weighting_filter_db(const struct weighting_coefficients *coefficients, enum weighting weighting, double hz);

#endif
