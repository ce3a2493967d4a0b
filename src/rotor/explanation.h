/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_EXPLANATION_H
#define THRUM_ROTOR_EXPLANATION_H

/* What the stages of rotor_explain hand on: the question (borrowed), the spectrum that the tones come from with the
 * noise under it, the speed and its course. Private to this room. */

#include "rotor/drive.h"
#include "rotor/rotor.h"
#include "rotor/speed.h"
#include "rotor/tach.h"
#include "rotor/tach_doubt.h"
#include "rotor/track.h"
#include "rotor/wander.h"

struct explanation {
    const struct variant *variant; /* NULL: nothing known */
    const struct rotor_log *log;   /* NULL: none */
    struct pressure *pressure;     /* NULL: no second passes */
    struct spectrum spectrum;      /* pa2 is borrowed from the figures unless has_own_spectrum */
    bool has_own_spectrum;
    double *noise_pa2;            /* owned; of `spectrum` */
    double log_hz, tolerance_pct; /* of the shaft; ABSENT without a log */
    double highest_hz;
    struct speed speed;
    int heard_count;      /* another blade count than the given one, by which alone the log is kept; else 0 */
    int told_count;       /* the same, or one by the heights of the orders, told by a finding; else 0 */
    struct track track;   /* owned; count 0 without one */
    bool has_tach;        /* the track and speed are the tachometer's */
    struct wander wander; /* owned; how a wandering speed was found, or nothing */
    bool is_moving;       /* tones move through the used part as in a ramp (only looked for where it matters) */
    struct tach_report tach;
    struct tach_doubt tach_doubt;
    struct rotor_figures *out;
    struct findings *findings;
    size_t remark_capacity;
};

/* spectra.c: the spectrum and its tones; later, where the speed moves, tones over shaft angle in their place. */
bool explanation_take_spectrum(struct explanation *explanation, const struct spectrum *spectrum,
                               struct err *err) MUST_CHECK;
bool explanation_sharpen(struct explanation *explanation, struct err *err) MUST_CHECK;

/* speeding.c: the speed, by tachometer or sound, and its course. */
struct speed_question explanation_question(const struct explanation *explanation);
bool explanation_find_speed(struct explanation *explanation, struct err *err) MUST_CHECK;
void explanation_refine_speed(struct explanation *explanation); /* from sharper tones, near the course's mean */
void explanation_tell_course(struct explanation *explanation);  /* drift and jitter */

/* tell.c: findings about speed and count. */
void tell_speed(const struct explanation *explanation);
void tell_tach(const struct explanation *explanation);
void tell_count(struct explanation *explanation);
void tell_passages(const struct explanation *explanation);  /* once they are judged */
void tell_shortfall(const struct explanation *explanation); /* the same; fills blade_shortfall_db */
void tell_unloaded_speed(const struct explanation *explanation);

/* machine.c: adds a sentence about the machine. */
bool remark_add(struct explanation *explanation, struct err *err, const char *format, ...) MUST_CHECK PRINTF_LIKE(3, 4);

#endif
