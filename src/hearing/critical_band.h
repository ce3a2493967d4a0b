/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_CRITICAL_BAND_H
#define THRUM_HEARING_CRITICAL_BAND_H

#include "rotor/floor.h" /* critical_bandwidth_hz */

/* Widths and places of critical bands about a tone, as the tonality methods use them. Frequencies in Hz.
 *
 * The width itself is critical_bandwidth_hz of rotor/floor.h. ECMA-418-1, clause 10, and ISO/PAS 20065 share the width;
 * ECMA places the band arithmetically up to 500 Hz and geometrically above, ISO/PAS 20065 geometrically everywhere. The
 * formulae are from memory (the width alone was seen printed); 162.2 Hz at 1 kHz, with edges 922.2 and 1084.4 Hz, is
 * the worked example that the tests hold them to. */

void critical_band_ecma(double hz, double *low_hz, double *high_hz);
void critical_band_geometric(double hz, double *low_hz, double *high_hz);

/* Two tones in one critical band closer than this are heard as one (ECMA-418-1, clause 11; the same expression as f_D
 * of ISO/PAS 20065; from memory). Below 1 kHz; from 89.1 Hz on for ECMA-418-1: 23 Hz at 150 Hz, 63.8 Hz at 850 Hz,
 * least 21 Hz at 212 Hz. */
double proximity_hz(double hz);

/* Bark rate of a frequency by the table of Zwicker's critical bands (edges and centres, linear between), 0 to 24.
 * ABSENT outside 0 to 15500 Hz. */
double hz_to_bark(double hz);

#endif
