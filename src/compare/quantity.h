/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_QUANTITY_H
#define THRUM_COMPARE_QUANTITY_H

/* What is compared, and how it is read from a run. Levels are fitted as they are; figures that are a power of the sound
 * pressure (loudness, annoyance, power loading) are fitted by their natural logarithm, which is straight where a level
 * is straight, and told in their own unit. */

#include "compare/law.h"
#include "measure/run_result.h"

#include <stdbool.h>
#include <stddef.h>

enum quantity_kind {
    QUANTITY_LAEQ,
    QUANTITY_THIRD_OCTAVE,
    QUANTITY_BLADE_TONE,
    QUANTITY_LOUDNESS_N5,
    QUANTITY_SHARPNESS,
    QUANTITY_ROUGHNESS,
    QUANTITY_FLUCTUATION,
    QUANTITY_ANNOYANCE,
    QUANTITY_ANNOYANCE_TONAL,
    QUANTITY_AUDIBILITY,
    QUANTITY_POWER_LOADING,
    QUANTITY_FIGURE_OF_MERIT,
    QUANTITY_BLADE_SHARE, /* percent of the A-weighted energy; for contributions only */
    QUANTITY_OTHER_TONES_SHARE,
    QUANTITY_BROADBAND_SHARE,
};

struct quantity {
    enum quantity_kind kind;
    int band_index;         /* x of IEC 61260-1, third octaves only */
    double band_nominal_hz; /* else ABSENT */
};

const char *quantity_key(enum quantity_kind kind); /* "LAeq_db", "third_octave_db", ... */
bool quantity_is_level(enum quantity_kind kind);   /* dB re the level unit: gain and distance act on it 1 to 1 */
bool quantity_is_logarithmic(enum quantity_kind kind);
bool quantity_is_never_negative(enum quantity_kind kind);
/* A smooth function of the operating value. Not those that hang on how tones lie to each other. */
bool quantity_is_smooth(enum quantity_kind kind);
bool quantity_is_share(enum quantity_kind kind); /* of the A-weighted energy */

/* How much y (dB, or the logarithm) changes per dB of the microphone's gain; ABSENT where no rule is known. */
double quantity_per_gain_db(enum quantity_kind kind);

/* Reads y, the upper bound mark and the background's sensitivity into `sample`; false when this run has no value. */
bool quantity_read(const struct run_result *run, const struct variant *variant, const struct air *air,
                   const struct quantity *quantity, struct sample *sample) MUST_CHECK;

/* Where the third octave of that index stands among the run's; SIZE_MAX: it has none. */
size_t quantity_band_place(const struct run_result *run, int band_index);

/* Power sum of the blade-passage lines found, at the reference distance; ABSENT when none was found, or when those that
 * are hidden could add 1 dB or more. */
double run_blade_tone_db(const struct run_result *run);

#endif
