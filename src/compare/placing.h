/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_COMPARE_PLACING_H
#define THRUM_COMPARE_PLACING_H

/* A third octave holds broadband noise, which follows a smooth law of the operating point, and whichever tones lie in
 * it, which move with the speed and leave it for its neighbour: no smooth law. So each run's band is told as it would
 * be with the run's own tones where they lie at the speed of the operating value asked for,
 *     E = (band - what its filter passes of the tones where they are) + what it would pass of them there;
 * these follow a smooth law again. Tones of the mains, of no known source, or beside the speed (pwm) stay where they
 * are. docs/comparison.md, "Bands with tones". */

#include "compare/grid.h"

/* Part of a band's energy that is noticeable: without it the band is 0.5 dB lower (common practice). */
#define PLACING_NOTICEABLE 0.1

/* The same of tones that don't turn with the shaft: 7 dB lower. In short recordings noise makes such tones too, which
 * hold less, and those belong to its scatter (common practice). */
#define PLACING_NOTICEABLE_STRAY 0.8

/* How well a tone's level is known, half width, dB: rotor/tone.h. */
#define PLACING_TONE_DB 0.1

/* Whether tones hold a noticeable part of the band in this run. */
bool placing_has_tones(const struct skirts_set *skirts, const struct run_result *run, int band_index);

/* The band of one run at the reference distance with its tones where they lie at `shaft_hz`, whatever it hides; as
 * recorded where that is 0. ABSENT: the run has no such band. */
double placing_level_db(const struct skirts_set *skirts, const struct run_result *run, int band_index, double shaft_hz);

/* Takes the samples of a cell of a third octave, sorted, to where tones lie at `value`. `is_far`: runs
 * that can't be taken there are left out of the cell, and cell->veil says why; else all stay, as all near it may. */
bool placing_apply(const struct grid_source *source, const struct grid *grid, double value, bool is_far,
                   struct cell *cell, struct err *err) MUST_CHECK;

#endif
