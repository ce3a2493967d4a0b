/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/wander.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/count.h"
#include "rotor/explanation.h"
#include "rotor/floor.h"
#include "rotor/hum.h"
#include "rotor/order.h"
#include "rotor/tone.h"

#include <math.h>
#include <stdlib.h>

enum { GUIDES = 3 }; /* tones whose course is tried */

#define BLOCK_S 0.35       /* lines 3 Hz apart: a propeller's first lines show as one peak each */
#define LEAST_EVIDENCE 3.0 /* odds of 20 to 1: the comb must look like a rotor's as well */
#define PLACE_SHARE 0.004  /* of one line beside the comb: 1.2 % at the most; common practice, from real propellers */
#define LOWEST_RPM 600.0   /* that is thought of here */
#define HIGHEST_RPM 24000.0
#define JUDGED_LINES 8
#define HEARD_DB 3.0         /* above the noise in the critical band */
#define LOWEST_GUIDE_HZ 40.0 /* a window of 0.2 s parts a tone from its neighbours in a comb */
#define HIGHEST_GUIDE_HZ 3000.0
#define GUIDE_ABOVE_DB 0.0 /* above the noise in its critical band: strong enough for short windows */
#define MOVING_SHARE 0.01  /* range of a course below which it sharpens nothing */

static bool may_guide(const struct tone *tone)
{
    return tone->hz >= LOWEST_GUIDE_HZ && tone->hz <= HIGHEST_GUIDE_HZ && tone->above_noise_db >= GUIDE_ABOVE_DB;
}

/* The strongest tones that may guide, strongest first. */
static size_t list_guides(const struct explanation *explanation, double *guides_hz)
{
    const struct rotor_figures *out = explanation->out;
    double above_db[GUIDES];
    size_t count = 0;
    for (size_t i = 0; i < out->tone_count; i++) {
        const struct tone *tone = &out->tones[i];
        if (!may_guide(tone) || (count == GUIDES && tone->above_noise_db <= above_db[count - 1]))
            continue;
        size_t at = count < GUIDES ? count++ : count - 1;
        for (; at > 0 && above_db[at - 1] < tone->above_noise_db; at--) {
            above_db[at] = above_db[at - 1];
            guides_hz[at] = guides_hz[at - 1];
        }
        above_db[at] = tone->above_noise_db;
        guides_hz[at] = tone->hz;
    }
    return count;
}

/* Spectrum of short blocks, of the plain sound or over the angle of a course. */
static bool take_spectrum(struct explanation *explanation, const struct track *course, struct spectrum *out,
                          struct err *err)
{
    double rate_hz = explanation->pressure->sample_rate_hz;
    size_t block = fft_good_size((size_t)(BLOCK_S * rate_hz));
    struct source source;
    if (course)
        return order_spectrum(explanation->pressure, course, block, out, err);
    return source_of_pressure(explanation->pressure, &source, err) &&
           spectrum_of_source(&source, rate_hz, block, out, err);
}

/* Order of the shaft that a tone lies on, where it is a blade line or lies below the first; 0 where it is none. */
static int comb_order(const struct speed_question *question, const struct speed *speed, const struct tone *tone)
{
    double order = round(tone->hz / speed->shaft_hz);
    double width_hz = speed_match_hz(hypot(tone->uncertainty_hz, PLACE_SHARE * tone->hz), tone->hz,
                                     speed->uncertainty_hz / speed->shaft_hz, question->step_hz);
    bool is_line = order >= 1 && (order < question->blades || fmod(order, question->blades) == 0);
    return is_line && fabs(tone->hz - order * speed->shaft_hz) <= width_hz ? (int)order : 0;
}

/* Wide matches fit many combs. A rotor's has its first blade line, no order of the shaft above its strongest blade
 * line, and makes most of the tones that are heard as far as its eighth. */
static bool is_rotor(const struct speed_question *question, const struct speed *speed)
{
    double highest_hz = (JUDGED_LINES + 0.5) * question->blades * speed->shaft_hz;
    double blade_db = -HUGE_VAL, shaft_db = -HUGE_VAL;
    int own = 0, foreign = 0;
    bool has_first = false;
    for (size_t i = 0; i < question->tone_count && question->tones[i].hz < highest_hz; i++) {
        const struct tone *tone = &question->tones[i];
        int order = comb_order(question, speed, tone);
        bool is_blade = order > 0 && order % question->blades == 0;
        has_first |= order == question->blades;
        if (is_blade)
            blade_db = fmax(blade_db, tone->above_noise_db);
        else if (order > 0)
            shaft_db = fmax(shaft_db, tone->above_noise_db);
        if (tone->above_noise_db < HEARD_DB)
            continue;
        own += order > 0;
        foreign += order == 0 && !hum_is_near(question, tone->hz);
    }
    return has_first && blade_db >= shaft_db && own > foreign;
}

static void judge(struct explanation *explanation, const struct spectrum *spectrum, struct wander *out)
{
    struct speed_question question = explanation_question(explanation);
    question.tones = out->tones;
    question.tone_count = out->tone_count;
    question.step_hz = spectrum->step_hz;
    question.highest_tone_hz = (double)spectrum->count * spectrum->step_hz;
    question.place_share = PLACE_SHARE;
    question.least_evidence = LEAST_EVIDENCE;
    out->step_hz = spectrum->step_hz;
    out->span = 6 * PLACE_SHARE;
    question.lowest_hz = rpm_to_hz(LOWEST_RPM);
    question.highest_hz = rpm_to_hz(HIGHEST_RPM);
    out->speed = speed_from_tones(&question);
    if (is_given(out->speed.shaft_hz) && !is_given(question.log_hz))
        count_settle_speed(&question, &out->speed);
    if (is_given(out->speed.shaft_hz) && !is_rotor(&question, &out->speed))
        out->speed.shaft_hz = ABSENT;
    double highest_hz = (JUDGED_LINES + 0.5) * question.blades * out->speed.shaft_hz;
    while (out->tone_count > 0 && !(out->tones[out->tone_count - 1].hz < highest_hz))
        out->tone_count--;
}

/* The comb of broad lines, as heard along a course (NULL: the plain sound). */
static bool look_along(struct explanation *explanation, const struct track *course, struct wander *out, struct err *err)
{
    struct spectrum spectrum;
    if (!take_spectrum(explanation, course, &spectrum, err))
        return false;
    if (!spectrum.pa2)
        return true;
    double *noise_pa2 = memory_new(spectrum.count, sizeof *noise_pa2);
    bool is_ok = noise_pa2 ? true : err_memory(err);
    is_ok = is_ok && floor_estimate(&spectrum, noise_pa2, err) &&
            tones_find(&spectrum, noise_pa2, TONE_CHANCE, &out->tones, &out->tone_count, err);
    if (is_ok)
        judge(explanation, &spectrum, out);
    free(noise_pa2);
    free(spectrum.pa2);
    return is_ok;
}

static bool look_along_guide(struct explanation *explanation, double guide_hz, struct wander *out, struct err *err)
{
    if (!track_by_tone(explanation->pressure, guide_hz, &explanation->spectrum, explanation->noise_pa2, &out->course,
                       err))
        return false;
    struct track *course = &out->course;
    if (!is_given(course->mean_hz) || track_span(course) <= MOVING_SHARE)
        return true;
    if (!look_along(explanation, course, out, err))
        return false;
    out->speed.evidence -= log(GUIDES);
    if (out->speed.evidence < LEAST_EVIDENCE)
        out->speed.shaft_hz = ABSENT;
    if (is_given(out->speed.shaft_hz))
        track_scale(course, out->speed.shaft_hz / course->mean_hz);
    return true;
}

struct wander wander_nothing(void)
{
    return (struct wander){ .speed = { .shaft_hz = ABSENT, .uncertainty_hz = ABSENT },
                            .course = { .mean_hz = ABSENT } };
}

void wander_clear(struct wander *wander)
{
    track_clear(&wander->course);
    free(wander->tones);
    *wander = wander_nothing();
}

bool wander_search(struct explanation *explanation, struct wander *out, struct err *err)
{
    double guides_hz[GUIDES];
    size_t guides = list_guides(explanation, guides_hz);
    *out = wander_nothing();
    bool is_ok = look_along(explanation, NULL, out, err);
    for (size_t i = 0; is_ok && i < guides; i++) {
        struct wander trial = wander_nothing();
        is_ok = look_along_guide(explanation, guides_hz[i], &trial, err);
        bool is_better = is_ok && is_given(trial.speed.shaft_hz) &&
                         (!is_given(out->speed.shaft_hz) || trial.speed.evidence > out->speed.evidence);
        struct wander worse = is_better ? *out : trial;
        if (is_better)
            *out = trial;
        wander_clear(&worse);
    }
    if (!is_ok || !is_given(out->speed.shaft_hz))
        wander_clear(out);
    return is_ok;
}
