/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/wander.h"

#include "base/absent.h"
#include "base/memory.h"
#include "base/units.h"
#include "rotor/choice.h"
#include "rotor/count.h"
#include "rotor/explanation.h"
#include "rotor/floor.h"
#include "rotor/hum.h"
#include "rotor/order.h"
#include "rotor/ridge.h"
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
#define RAMP_MARGIN 3.0    /* odds of 20 to 1; all of these are common practice */
#define LONE_EVIDENCE 6.0  /* of one ridge's comb, where no other ridge agrees */
#define AGREE_EVIDENCE 3.0 /* for each that does */
#define AGREE_SHARE 0.003
#define ALIKE 1.0         /* evidence */
#define MOVING_SHARE 0.01 /* range of a course below which it sharpens nothing */

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

static bool judge(struct explanation *explanation, struct wander *out, struct err *err)
{
    const struct spectrum *spectrum = &out->spectrum;
    struct speed_question question = explanation_question(explanation);
    question.tones = out->tones;
    question.tone_count = out->tone_count;
    question.step_hz = spectrum->step_hz;
    question.highest_tone_hz = (double)spectrum->count * spectrum->step_hz;
    question.place_share = PLACE_SHARE;
    if (out->is_ramp) /* a log may be that of its start or end */
        question.search_pct += 100 * track_span(&out->course) / 2;
    question.least_evidence = LEAST_EVIDENCE;
    out->span = 6 * PLACE_SHARE;
    question.lowest_hz = rpm_to_hz(LOWEST_RPM);
    question.highest_hz = rpm_to_hz(HIGHEST_RPM);
    if (is_given(question.log_hz) || out->is_ramp)
        out->speed = speed_from_tones(&question);
    else if (!speed_choose(&question, explanation->variant, &out->speed, err))
        return false;
    if (is_given(out->speed.shaft_hz) && !is_given(question.log_hz) && out->is_ramp)
        count_settle_speed(&question, &out->speed);
    if (is_given(out->speed.shaft_hz) && !is_rotor(&question, &out->speed))
        out->speed.shaft_hz = ABSENT;
    double highest_hz = (JUDGED_LINES + 0.5) * question.blades * out->speed.shaft_hz;
    while (out->tone_count > 0 && !(out->tones[out->tone_count - 1].hz < highest_hz))
        out->tone_count--;
    return true;
}

/* The comb of broad lines, as heard along a course (NULL: the plain sound). */
static bool look_along(struct explanation *explanation, const struct track *course, struct wander *out, struct err *err)
{
    struct spectrum *spectrum = &out->spectrum;
    if (!take_spectrum(explanation, course, spectrum, err))
        return false;
    if (!spectrum->pa2)
        return true;
    out->noise_pa2 = memory_new(spectrum->count, sizeof *out->noise_pa2);
    if (!out->noise_pa2)
        return err_memory(err);
    if (!floor_estimate(spectrum, out->noise_pa2, err) ||
        !tones_find(spectrum, out->noise_pa2, TONE_CHANCE, &out->tones, &out->tone_count, err))
        return false;
    return judge(explanation, out, err);
}

/* The comb along out->course, which was one of `tries`; the course is then the shaft's. */
static bool look_along_own(struct explanation *explanation, int tries, struct wander *out, struct err *err)
{
    struct track *course = &out->course;
    if (!look_along(explanation, course, out, err))
        return false;
    out->speed.evidence -= log(tries);
    if (out->speed.evidence < LEAST_EVIDENCE)
        out->speed.shaft_hz = ABSENT;
    if (is_given(out->speed.shaft_hz))
        track_scale(course, out->speed.shaft_hz / course->mean_hz);
    return true;
}

static bool look_along_guide(struct explanation *explanation, double guide_hz, struct wander *out, struct err *err)
{
    if (!track_by_tone(explanation->pressure, guide_hz, &explanation->spectrum, explanation->noise_pa2, &out->course,
                       err))
        return false;
    if (!is_given(out->course.mean_hz) || track_span(&out->course) <= MOVING_SHARE)
        return true;
    return look_along_own(explanation, GUIDES, out, err);
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
    free(wander->spectrum.pa2);
    free(wander->noise_pa2);
    *wander = wander_nothing();
}

/* Keeps *trial in the place of *best where it is better; clears the other. */
static void keep_better(struct wander *best, struct wander *trial, bool is_better)
{
    struct wander worse = is_better ? *best : *trial;
    if (is_better)
        *best = *trial;
    wander_clear(&worse);
}

/* Evidence of one ridge's comb with that of the others that say the same speed; ABSENT where it stands alone and is not
 * clear by itself. */
static double joint_evidence(const struct wander *trials, size_t count, size_t which)
{
    const struct speed *speed = &trials[which].speed;
    int agreeing = 0;
    for (size_t i = 0; i < count; i++)
        agreeing += i != which && fabs(trials[i].speed.shaft_hz / speed->shaft_hz - 1) < AGREE_SHARE;
    if (!is_given(speed->shaft_hz) || (agreeing == 0 && speed->evidence < LONE_EVIDENCE))
        return ABSENT;
    return speed->evidence + AGREE_EVIDENCE * agreeing;
}

/* The clearest of the ridges' combs; of several that are as clear, the one of the highest ridge, whose place is best
 * known. Where tones move so far, a comb of the plain sound must be much clearer than one that moves with them: parts
 * of a ramp make combs too. */
static void choose_ridge(struct wander *best, struct wander *trials, size_t count)
{
    size_t chosen = 0;
    double most = -HUGE_VAL, ridge_hz = 0;
    for (size_t i = 0; i < count; i++)
        most = fmax(most, joint_evidence(trials, count, i)); /* fmax passes over an absent one */
    for (size_t i = 0; i < count; i++)
        if (joint_evidence(trials, count, i) >= most - ALIKE && trials[i].ridge_hz > ridge_hz) {
            chosen = i;
            ridge_hz = trials[i].ridge_hz;
        }
    bool has_plain = is_given(best->speed.shaft_hz) && best->speed.evidence >= LONE_EVIDENCE;
    bool is_better = ridge_hz > 0 && (!has_plain || most > best->speed.evidence - RAMP_MARGIN);
    if (!is_better && !has_plain && count >= RIDGES_SURE)
        wander_clear(best);
    for (size_t i = 0; i < count; i++)
        keep_better(best, &trials[i], is_better && i == chosen);
}

/* Tries every ridge; `best` holds what the plain sound and other guides say. */
static bool try_ridges(struct explanation *explanation, struct wander *best, bool *is_moving, struct err *err)
{
    struct ridges ridges;
    struct wander trials[RIDGES_MOST];
    if (!ridges_find(explanation->pressure, &ridges, err))
        return false;
    bool is_ok = true;
    for (size_t i = 0; i < ridges.count; i++) {
        trials[i] = wander_nothing();
        trials[i].course = ridges.items[i];
        trials[i].ridge_hz = ridges.items[i].mean_hz;
        trials[i].is_ramp = true;
        is_ok = is_ok && look_along_own(explanation, GUIDES + RIDGES_MOST, &trials[i], err);
    }
    *is_moving = ridges.count >= RIDGES_SURE;
    if (is_ok)
        choose_ridge(best, trials, ridges.count);
    for (size_t i = 0; i < ridges.count && !is_ok; i++)
        wander_clear(&trials[i]);
    return is_ok;
}

static bool finish(struct wander *out, bool is_ok)
{
    if (!is_ok || !is_given(out->speed.shaft_hz))
        wander_clear(out);
    return is_ok;
}

bool wander_search(struct explanation *explanation, struct wander *out, bool *is_moving, struct err *err)
{
    double guides_hz[GUIDES];
    size_t guides = list_guides(explanation, guides_hz);
    *out = wander_nothing();
    bool is_ok = look_along(explanation, NULL, out, err);
    for (size_t i = 0; is_ok && i < guides; i++) {
        struct wander trial = wander_nothing();
        is_ok = look_along_guide(explanation, guides_hz[i], &trial, err);
        keep_better(out, &trial,
                    is_ok && is_given(trial.speed.shaft_hz) &&
                        (!is_given(out->speed.shaft_hz) || trial.speed.evidence > out->speed.evidence));
    }
    return finish(out, is_ok && try_ridges(explanation, out, is_moving, err));
}

bool wander_search_ramp(struct explanation *explanation, struct wander *out, bool *is_moving, struct err *err)
{
    *out = wander_nothing();
    *is_moving = false;
    bool is_ok = look_along(explanation, NULL, out, err) && try_ridges(explanation, out, is_moving, err);
    if (!out->is_ramp)
        wander_clear(out);
    return finish(out, is_ok);
}
