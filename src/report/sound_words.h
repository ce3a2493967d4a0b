/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_REPORT_SOUND_WORDS_H
#define THRUM_REPORT_SOUND_WORDS_H

/* How rotors sound against each other at an operating point, in plain sentences by the rules of hearing/words.h.
 * Figures are those of the fits where there are any, with the interval of the loudness ratio from the comparison;
 * tones, and figures without a fit, are those of the run that stands for the rotor there (view_run). */

#include "base/text.h"
#include "report/view.h"

/* "slow5 is about a third as loud as stock2. It sounds less sharp. Its belt mesh tone at 2160 Hz is prominent; stock2
 * has no prominent tone." Nothing where nothing can be said. */
void sound_words_compare(const struct view *view, double at, size_t variant, struct text *out);

/* "belt mesh tone at 2160 Hz"; empty where no tone of the run is prominent. */
void sound_words_tone(const struct run_result *run, struct text *out);

#endif
