/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_ZWICKER_H
#define THRUM_HEARING_ZWICKER_H

/* Zwicker's loudness from third-octave powers: the part that stationary and time-varying sounds share. ISO 532-1:2017
 * clause 5 and annex A (the same numbers as DIN 45631). The standard's body was not read; tables are from memory and
 * reproduce its first worked example to all digits (tests/hearing/loudness_stationary.c), so no conformance is claimed.
 *
 * All in powers, no level is taken: N' = c ((1 - s + s E/E_0)^1/4 - 1) needs two square roots a band. Powers are Pa^2.
 */

#include <stdbool.h>
#include <stddef.h>

#define ZWICKER_BAND_COUNT 28      /* third octaves, 25 Hz to 12.5 kHz */
#define ZWICKER_CORE_COUNT 21      /* critical bands; the last is always 0 and ends the pattern */
#define ZWICKER_LOWEST_INDEX (-16) /* of IEC 61260-1, base ten: 25 Hz */
#define ZWICKER_PATTERN_COUNT 240  /* every 0.1 bark, 0.1 to 24 */

struct zwicker {
    /* power of a low band: multiplied by the factor of the first row whose limit it does not exceed */
    double low_limit_pa2[8][11], low_factor[8][11];
    /* core loudness */
    double threshold_pa2[20]; /* weighted power of the threshold */
    double gain[20];          /* s E / E_0 for 1 Pa^2 */
    double scale[20];         /* 0.0635 E_0^1/4 */
    double inverse_slope[18][8];
};

/* Constants for the sound field. */
void zwicker_init(struct zwicker *zwicker, bool is_diffuse);

/* Core loudness (sone/bark) of the critical bands. */
void zwicker_core(const struct zwicker *zwicker, const double band_pa2[static ZWICKER_BAND_COUNT],
                  double core[static ZWICKER_CORE_COUNT]);

/* Area under the pattern, in sone. `pattern` may be NULL; else it gets the specific loudness every 0.1 bark. */
double zwicker_loudness_sone(const struct zwicker *zwicker, const double core[static ZWICKER_CORE_COUNT],
                             double *pattern);

/* Loudness level in phon: 40 + 10 lb N from 1 sone on, 40 (N + 0.0005)^0.35 below, at least 3. */
double sone_to_phon(double sone);

#endif
