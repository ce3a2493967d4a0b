/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_HEARING_H
#define THRUM_HEARING_HEARING_H

/* How it sounds to a person. Loudness, sharpness, roughness and fluctuation strength are meters (hearing_meters, fed
 * like the others); tonality and annoyance are computed after the tones have their names. */

#include "meters/meter.h"
#include "rotor/rotor.h"

#include <stdbool.h>
#include <stddef.h>

/* The meters of this room, for the list of meters. */
extern const struct meter_kind *const hearing_meters[];
extern const size_t hearing_meter_count;

/* Why figures of the meters and the audibility of tones are absent, in words for a finding; NULL when all can be given.
 * Loudness and what is built on it needs an absolute gain and a rate that holds the 12.5 kHz band; roughness needs 0.2
 * s of used part, audibility as long as its lines take (0.7 s), fluctuation strength 2.3 s. That
 * what has 0 sone has no sharpness is not told here. */
const char *hearing_absent_reason(bool is_absolute, double sample_rate_hz, double used_s);

struct tonality {
    double audibility_db; /* of the decisive tone; ISO/PAS 20065, ISO 1996-2 */
    double audibility_uncertainty_db;
    int adjustment_db;  /* K_T, 0 to 6; -1: can't be given */
    double decisive_hz; /* ABSENT when no tone is audible */
    char decisive_source[SOURCE_TEXT_MAX];
    bool is_prominent;   /* by ECMA-418-1, either ratio */
    char criterion[96];  /* which criterion said so, in words; empty when none */
    double prominent_hz; /* the tone that stands highest above its limit; ABSENT when none is prominent */
    char prominent_source[SOURCE_TEXT_MAX];
    double aures_tu; /* tonality of the whole sound after Aures; ABSENT without an absolute gain */
};

/* Rates every tone of `rotor` over the spectrum, and the recording by its decisive tone: the most audible distinct one,
 * up to 12.5 kHz, that lies above the threshold of hearing where levels are absolute and is not heard as one with a
 * stronger one. */
bool tonality_rate(const struct spectrum *spectrum, bool is_absolute, struct rotor_figures *rotor, struct tonality *out,
                   struct err *err) MUST_CHECK;

/* Fills the figures of `hearing` that come from others of its figures: psychoacoustic annoyance without and with
 * tonality. */
void annoyance_fill(struct hearing_figures *hearing, const struct tonality *tonality);

#endif
