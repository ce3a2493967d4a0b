/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_METERS_GROUND_H
#define THRUM_METERS_GROUND_H

/* What the place of the microphone does to a measurement: reflection from a hard ground (image source), and the near
 * field of the rotor. Frequencies in Hz, lengths in m; ABSENT in, ABSENT or nothing out. */

#include "campaign/campaign.h"
#include "recording/finding.h"

#include <stddef.h>

/* How much longer the way over the ground is than the direct one. `distance_m` is the straight distance from source to
 * microphone. ABSENT when a length is missing, or when the heights differ by more than the distance. */
double ground_path_difference_m(double distance_m, double source_height_m, double height_m);

/* The dips (2k - 1) c / (2 D), k from 1, up to `highest_hz`; returns how many of them were written, at most `room`. */
size_t ground_dips_hz(double path_difference_m, double sound_speed_m_s, double highest_hz, double *dips_hz,
                      size_t room);

/* Findings of the place: `near-field` nearer than four diameters (doubtful; common practice), or where a dipole's near
 * field adds 1 dB (doubtful) or 0.5 dB (note) to the blade tone; `ground-reflection` (note) with the first dips, where
 * the heights are given. */
struct place_of_microphone {
    double distance_m, height_m, source_height_m;
    double diameter_m, blade_hz; /* ABSENT: not judged */
    double temperature_c;        /* ABSENT: 20 */
};
void ground_find(const struct place_of_microphone *place, struct findings *findings);

#endif
