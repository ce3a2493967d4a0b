/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_WORDS_H
#define THRUM_HEARING_WORDS_H

/* What figures mean to a listener, in plain sentences by written rules (docs/hearing.md lists them with their sources).
 * A figure that is ABSENT on either side leaves its sentence out. Sentences are of a variant against the reference, end
 * with a full stop, and follow each other with one space. */

#include "base/text.h"
#include "hearing/hearing.h"

/* Ratios of loudness (in sone) up to which two sounds are "about as loud": 1 dB, the step heard only side by side. */
#define WORDS_SAME_LOUDNESS 1.07
/* Up to which it is "slightly": 3 dB, just heard in ordinary life. */
#define WORDS_SLIGHT_LOUDNESS 1.23
/* From where on no ratio is told any more: half a step of the scale of plain multiples beyond ten times. */
#define WORDS_MOST_LOUDNESS 14.14
#define WORDS_SHARPNESS_STEP_ACUM 0.08
#define WORDS_ROUGHNESS_STEP 0.17       /* of the larger value */
#define WORDS_ROUGHNESS_LEAST_ASPER 0.1 /* limit of audibility: below it, smooth */
#define WORDS_FLUCTUATION_STEP 0.17
#define WORDS_FLUCTUATION_LEAST_VACIL 0.1

struct hearing_words_input {
    const char *title; /* as it begins a sentence; borrowed */
    double loudness_n5_sone, sharpness_acum, roughness_asper, fluctuation_vacil;
    double loudness_ratio_low, loudness_ratio_high; /* of the variant: 95 % interval of its loudness over the
                                                       reference's; ABSENT without repeats */
    const struct tonality *tonality;                /* NULL: not known; borrowed */
};

/* Takes the figures of one run; the interval is ABSENT. */
void hearing_words_take(struct hearing_words_input *input, const char *title, const struct hearing_figures *hearing,
                        const struct tonality *tonality);

/* Adds the sentences that compare `variant` with `reference`. Nothing is added when nothing can be said. */
void hearing_words_compare(const struct hearing_words_input *variant, const struct hearing_words_input *reference,
                           struct text *out);

/* "belt mesh tone at 840 Hz", "2nd blade harmonic at 280 Hz", "tone of unknown source at 4250 Hz": the tone that stands
 * out most, named by its source, without an article; nothing is added when none is prominent. */
void hearing_words_prominent_tone(const struct tonality *tonality, struct text *out);

#endif
