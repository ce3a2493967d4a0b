/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_HEARING_FLUCTUATION_H
#define THRUM_HEARING_FLUCTUATION_H

/* Fluctuation strength in vacil after Fastl 1982 (Hearing Research 8, 59-69) and Fastl and Zwicker, Psychoacoustics
 * (formula from memory): F = 0.008 integral dL(z) dz / (f/4 + 4/f), with dL the depth of the temporal masking pattern
 * and f the modulation rate. Chosen because it needs nothing but specific loudness against time, which is there
 * already.
 *
 * dL comes from specific loudness after the decay of ISO 532-1, as 40 lg (N' + N0): N' grows with the fourth root of
 * energy. A real sound has no single rate, so each modulation line is weighted by 2/(f/4 + 4/f) and dL is the swing of
 * a sine of the same power. Channels (half a bark) count as far as they swing together with those one bark off (squared
 * correlations, ours), so that the random swings of steady noise do not count. Of the square of dL, at whatever rate,
 * that of 3 dB is not heard (the book: nothing below a depth of 3 dB, from memory).
 *
 * Over bark the squares are summed, F ~ sqrt(integral dL^2 dz), which is ours: the plain integral makes broad sounds
 * too strong (modulated noise of 60 dB 2.6 vacil where 1.8 are published), and with N0 = 0.05 sone/bark they hardly
 * grow with level. The sum of squares with N0 = 0.3 gives the published heights of tones, of tones modulated in
 * frequency and of broad-band noise at 4 Hz and 60 to 80 dB within 10 % (tests/hearing/fluctuation.c). The constant is
 * set to 1 vacil for the reference sound (1 kHz, 60 dB, modulated fully at 4 Hz).
 *
 * Frames of 2 s overlap by half; the mean over frames. */

#include "base/err.h"
#include "hearing/zwicker.h"

struct fluctuation;

#define FLUCTUATION_PATTERNS_PER_S 125
/* Of used part: a frame, and the 0.3 s in which the filters of loudness may have to settle in it. */
#define FLUCTUATION_LEAST_USED_S 2.3

struct fluctuation *fluctuation_new(struct err *err);
void fluctuation_free(struct fluctuation *fluctuation);

/* The next specific loudness, FLUCTUATION_PATTERNS_PER_S of them a second. */
void fluctuation_add(struct fluctuation *fluctuation, const double pattern[static ZWICKER_PATTERN_COUNT]);

/* ABSENT before the first whole frame. */
double fluctuation_vacil(const struct fluctuation *fluctuation);

#endif
