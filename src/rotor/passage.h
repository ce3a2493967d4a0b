/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_PASSAGE_H
#define THRUM_ROTOR_PASSAGE_H

/* The verdict on each blade-passage line: where the log expects it, where the sound has it. `agrees`: the line belongs
 * to the comb of the measured speed and lies within the log's tolerance; `shifted`: it belongs to the comb and lies
 * outside; `absent`: nothing of the comb stands out there. A tone that merely happens to lie where the log expects a
 * line, without a comb, agrees with nothing, nor does a tone that naming.h gave another source. */

#include "rotor/rotor.h"

#include <stdbool.h>
#include <stddef.h>

struct passage_question {
    const struct tone *tones;
    size_t tone_count;
    int blades;
    double log_hz, log_tolerance_pct; /* of the shaft; ABSENT without a log */
    double shaft_hz;                  /* by the sound or the tachometer; ABSENT when it can't be told */
    double highest_hz;
};

/* `tones` are named. *out is owned by the caller (free); at least PASSAGES_LEAST harmonics as far as the spectrum goes,
 * and on to PASSAGES_BEYOND after the last one found, at most PASSAGES_MAX. */
#define PASSAGES_LEAST 4
#define PASSAGES_BEYOND 2
#define PASSAGES_MAX 20
bool passages_judge(const struct passage_question *question, struct blade_passage **out, size_t *count,
                    struct err *err) MUST_CHECK;

/* What the absent lines may hide: a tone there is no louder than all that stands within `PASSAGE_LINES` lines of the
 * spectrum of its place, whatever makes it. */
#define PASSAGE_LINES 3
struct passages_hidden {
    double shortfall_db; /* of the power of the lines found, at the most; ABSENT where none is */
    int harmonic;        /* the absent line that may hide most; 0: none is absent */
    double hz, most_db;  /* its place, what stands there */
};
struct passages_hidden passages_hidden(const struct blade_passage *passages, size_t count, int blades, double shaft_hz,
                                       const struct spectrum *spectrum);

#endif
