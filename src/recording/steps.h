/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_RECORDING_STEPS_H
#define THRUM_RECORDING_STEPS_H

/* What the survey keeps of a recording: one record for each step of about a tenth of a second. A step is 100 boxes, a
 * box is about a millisecond; of a box only sum, sum of squares, least and largest sample are taken from the samples
 * (the part that costs), everything slow is done on boxes. Samples are in units of full scale.
 *
 * What changes within a box of T = 1 ms is a sine of frequency f weakened by 1 - sinc^2(f T) (closed form): -20.9 dB at
 * 50 Hz, -14.9 dB at 100 Hz, -9.0 dB at 200 Hz, -2.3 dB at 500 Hz, none from 1 kHz up, within 4.3 dB of A (IEC
 * 61672-1:2013, table 3) from 100 Hz to 12.5 kHz. */

#include "base/err.h"
#include "recording/blade_track.h"
#include "recording/ceiling.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define STEPS_MOST 36000

struct step {
    size_t frame_count, box_count;
    double mean;                  /* of the samples */
    double mean_square;           /* of what is above STEPS_LEVEL_FROM_HZ */
    double low_square;            /* of what lies between 2 Hz and the survey's rumble limit */
    double fast_square;           /* of what changes within a box: the level that steadiness is judged by */
    double peak;                  /* largest absolute sample */
    double box_range;             /* mean of largest minus least sample of the boxes that are not constant */
    size_t constant_boxes;        /* of equal samples, not at a ceiling */
    size_t nearly_constant_boxes; /* of less than an eighth of the usual range, but not constant */
    size_t bad_count;             /* samples that are no finite number or beyond STEPS_IMPLAUSIBLE */
    double ceiling[2];            /* upper and lower, as they stood when the flat tops were counted */
    size_t flat_runs[2], flat_frames[2];
};

#define STEPS_LEVEL_FROM_HZ 16.0
#define STEPS_IMPLAUSIBLE 1e6 /* times full scale */

struct steps {
    struct step *items; /* owned */
    size_t count, capacity;
    size_t box_frames, step_boxes;
    double step_s;
    struct ceiling ceilings[2];
    struct blade_track blade;
    size_t leading_boxes, trailing_boxes; /* constant ones at the start and the end of the recording */
    uint64_t codes;                       /* all bits that a sample in a hundred uses, as an integer of `bits` */
    int bits;                             /* of an integer sample; 0 for others */
    double code_scale;                    /* 2^(bits - 1) */

    /* state of the filters and of the open step */
    struct step open;
    size_t counted_frames;
    double level_pole, slow_pole, rumble_pole;
    double sum, low_pass_1, low_pass_2, slow, low_1, low_2, usual_range;
    bool is_started;
};

struct steps_setup {
    double rate_hz;
    uint64_t frame_count; /* of the recording */
    int integer_bits;     /* 0 for float and lossy samples */
    double rumble_limit_hz;
    double expected_blade_hz; /* ABSENT: the blade frequency is not followed */
};

/* Caller clears, also after false. */
bool steps_init(struct steps *steps, const struct steps_setup *setup, struct err *err) MUST_CHECK;
void steps_clear(struct steps *steps);

/* Feeds samples; all calls but the last with a multiple of box_frames. False: out of memory. */
bool steps_feed(struct steps *steps, const double *samples, size_t frame_count) MUST_CHECK;

/* Ends the last step. */
bool steps_finish(struct steps *steps) MUST_CHECK;

/* One code of the samples as far as they use them, in units of full scale: samples of 16 bits that were made from 8
 * have steps of 8. 0 for float and lossy samples. */
double steps_code(const struct steps *steps);

/* Whether a step is digital silence, in half of it or more. */
bool step_is_silent(const struct step *step);

/* Flat tops of one step at the ceilings that hold at the end. */
size_t step_flat_runs(const struct steps *steps, size_t index);
size_t step_flat_frames(const struct steps *steps, size_t index);

#endif
