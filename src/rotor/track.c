/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/track.h"

#include "base/absent.h"
#include "base/memory.h"
#include "rotor/thinner.h"
#include "rotor/tone.h"

#include <math.h>
#include <stdlib.h>

#define WINDOW_TURNS 8.0
#define SHORTEST_WINDOW_S 0.2
#define LONGEST_WINDOW_S 1.0
#define WINDOW_CHANCE 1e-4 /* of a false tone a line: the comb judges them */
#define HIGHEST_HZ 6000.0  /* of the lines that the track rests on */
#define STRONG_DB 15.0     /* height in a line from which a tone is worth following */
#define WEAK_REACH_PCT 1.5
#define HEARD_LEAST 0.5 /* share of the windows that must tell a speed */
#define UNCERTAINTY_LEAST 5e-5
#define LINES_ABOVE 8 /* the highest that is looked at */
#define TONE_WINDOW_S 0.2
#define TONE_REACH_PCT 4.0

struct tracking {
    struct averager averager;
    const struct speed_question *question; /* NULL: one tone is followed, not a comb */
    const struct track *course;            /* around which it is looked for; NULL: around shaft_hz */
    const struct spectrum *spectrum;
    const double *noise_pa2;
    double *window_noise_pa2;
    double shaft_hz, window_s, reach_pct; /* shaft_hz: or the tone's */
    double highest_hz;                    /* of the window's spectrum */
    double delay_s;                       /* by which what is read comes late */
    size_t window_count;
    struct track *track;
    struct err *err;
    bool failed;
};

bool track_add(struct track *track, double time_s, double shaft_hz, double uncertainty_hz)
{
    void *points = track->points;
    if (!memory_grow(&points, &track->capacity, track->count + 1, sizeof *track->points))
        return false;
    track->points = points;
    track->points[track->count++] = (struct track_point){ time_s, shaft_hz, uncertainty_hz };
    return true;
}

/* Where the speed, or the tone, is looked for at a time. */
static double centre_hz(const struct tracking *tracking, double time_s)
{
    const struct track *course = tracking->course;
    return course ? tracking->shaft_hz * track_hz(course, time_s) / course->mean_hz : tracking->shaft_hz;
}

/* The comb's speed in one window. */
static struct speed comb_speed(const struct tracking *tracking, double time_s, const struct tone *tones, size_t count)
{
    const struct spectrum *window = &tracking->averager.spectrum;
    struct speed_question question = *tracking->question;
    question.tones = tones;
    question.tone_count = count;
    question.log_hz = centre_hz(tracking, time_s);
    question.log_tolerance_pct = question.search_pct = tracking->reach_pct;
    question.step_hz = window->step_hz;
    question.highest_tone_hz = (double)window->count * window->step_hz;
    return speed_from_tones(&question);
}

/* Where the one tone is in this window: the strongest there. */
static struct speed tone_speed(const struct tracking *tracking, const struct tone *tones, size_t count)
{
    struct speed speed = { .shaft_hz = ABSENT, .uncertainty_hz = ABSENT };
    double most_db = -HUGE_VAL;
    for (size_t i = 0; i < count; i++) {
        if (fabs(tones[i].hz / tracking->shaft_hz - 1) > tracking->reach_pct / 100 || tones[i].level_db <= most_db)
            continue;
        most_db = tones[i].level_db;
        speed.shaft_hz = tones[i].hz;
        speed.uncertainty_hz = tones[i].uncertainty_hz;
    }
    return speed;
}

static bool look(void *context, size_t start_frame, const double *block)
{
    struct tracking *tracking = context;
    struct averager *averager = &tracking->averager;
    averager_restart(averager);
    averager_add(averager, block);
    tracking->window_count++;
    struct tone *tones = NULL;
    size_t count = 0;
    if (!tones_find(&averager->spectrum, tracking->window_noise_pa2, WINDOW_CHANCE, &tones, &count, tracking->err)) {
        tracking->failed = true;
        return false;
    }
    double middle = (double)start_frame + (double)averager->spectrum.block_frames / 2;
    double time_s = middle / averager->spectrum.sample_rate_hz - tracking->delay_s;
    struct speed speed =
        tracking->question ? comb_speed(tracking, time_s, tones, count) : tone_speed(tracking, tones, count);
    free(tones);
    if (is_given(speed.shaft_hz) && !track_add(tracking->track, time_s, speed.shaft_hz,
                                               fmax(speed.uncertainty_hz, UNCERTAINTY_LEAST * speed.shaft_hz))) {
        tracking->failed = true;
        return err_memory(tracking->err);
    }
    return true;
}

/* Highest tone worth following: a window's own spectrum above it is not looked at. */
static double highest_strong_hz(const struct speed_question *question)
{
    double highest_hz = 4 * question->blades * question->highest_hz;
    double strong_hz = 0;
    for (size_t i = 0; i < question->tone_count; i++)
        if (question->tones[i].line_ratio_db > STRONG_DB && question->tones[i].hz < HIGHEST_HZ)
            strong_hz = fmax(strong_hz, question->tones[i].hz);
    return fmin(fmax(strong_hz * 1.1, 500), highest_hz);
}

static bool prepare(struct tracking *tracking, double sample_rate_hz, struct err *err)
{
    if (!averager_init(&tracking->averager, sample_rate_hz,
                       fft_good_size((size_t)(tracking->window_s * sample_rate_hz)), err))
        return false;
    struct spectrum *window = &tracking->averager.spectrum;
    const struct spectrum *whole = tracking->spectrum;
    size_t wanted = (size_t)(tracking->highest_hz / window->step_hz) + LINES_ABOVE;
    if (wanted < window->count)
        window->count = wanted;
    tracking->window_noise_pa2 = memory_new(window->count, sizeof *tracking->window_noise_pa2);
    if (!tracking->window_noise_pa2)
        return err_memory(err);
    for (size_t k = 0; k < window->count; k++) {
        size_t line = (size_t)((double)k * window->step_hz / whole->step_hz + 0.5);
        if (line >= whole->count)
            line = whole->count - 1;
        tracking->window_noise_pa2[k] = tracking->noise_pa2[line] * window->step_hz / whole->step_hz;
    }
    return true;
}

/* One pass with windows of one length, over a signal thinned to what the windows are looked at for. */
static bool pass(struct tracking *tracking, struct pressure *pressure, double window_s, double reach_pct)
{
    struct thinner thinner;
    struct track *track = tracking->track;
    tracking->window_s = window_s;
    tracking->reach_pct = reach_pct;
    tracking->window_count = track->count = 0;
    bool is_ok = thinner_open(&thinner, pressure, tracking->highest_hz + LINES_ABOVE / window_s, tracking->err) &&
                 prepare(tracking, thinner.sample_rate_hz, tracking->err);
    tracking->delay_s = thinner.delay_s;
    if (is_ok) {
        size_t frames = tracking->averager.spectrum.block_frames;
        is_ok = blocks_run(&thinner.source, frames, frames / 2, look, tracking, tracking->err) && !tracking->failed;
    }
    averager_clear(&tracking->averager);
    thinner_clear(&thinner);
    free(tracking->window_noise_pa2);
    tracking->window_noise_pa2 = NULL;
    track->heard_share = tracking->window_count > 0 ? (double)track->count / (double)tracking->window_count : 0;
    return is_ok;
}

/* Fits what the passes told, or nothing where too few windows did. */
static bool settle(struct tracking *tracking, bool is_ok)
{
    struct track *track = tracking->track;
    if (is_ok && track->heard_share < HEARD_LEAST)
        track->count = 0;
    if (is_ok && track_fit(track, tracking->err))
        return true;
    track_clear(track);
    return false;
}

bool track_by_sound(struct pressure *pressure, const struct speed_question *question, double shaft_hz,
                    const struct track *course, const struct spectrum *spectrum, const double *noise_pa2,
                    struct track *out, struct err *err)
{
    struct tracking tracking = { .question = question,
                                 .course = course,
                                 .spectrum = spectrum,
                                 .noise_pa2 = noise_pa2,
                                 .shaft_hz = shaft_hz,
                                 .highest_hz = highest_strong_hz(question),
                                 .track = out,
                                 .err = err };
    *out = (struct track){ .duration_s = (double)pressure->frame_count / pressure->sample_rate_hz };
    double window_s = fmin(fmax(WINDOW_TURNS / shaft_hz, SHORTEST_WINDOW_S), LONGEST_WINDOW_S);
    bool is_ok = pass(&tracking, pressure, window_s, course ? RAMP_REACH_PCT : TRACK_REACH_PCT);
    /* Weak lines need longer windows, and a speed that moves less. */
    if (is_ok && out->heard_share < HEARD_LEAST && !course)
        is_ok = pass(&tracking, pressure, LONGEST_WINDOW_S, WEAK_REACH_PCT);
    return settle(&tracking, is_ok);
}

bool track_by_tone(struct pressure *pressure, double tone_hz, const struct spectrum *spectrum, const double *noise_pa2,
                   struct track *out, struct err *err)
{
    struct tracking tracking = { .spectrum = spectrum,
                                 .noise_pa2 = noise_pa2,
                                 .shaft_hz = tone_hz,
                                 .highest_hz = tone_hz * (1 + TRACK_REACH_PCT / 100),
                                 .track = out,
                                 .err = err };
    *out = (struct track){ .duration_s = (double)pressure->frame_count / pressure->sample_rate_hz };
    return settle(&tracking, pass(&tracking, pressure, TONE_WINDOW_S, TONE_REACH_PCT));
}

void track_scale(struct track *track, double factor)
{
    for (size_t i = 0; i < track->count; i++) {
        track->points[i].shaft_hz *= factor;
        track->points[i].uncertainty_hz *= factor;
    }
    for (size_t i = 0; i < sizeof track->course / sizeof *track->course; i++)
        track->course[i] *= factor;
    for (size_t i = 0; i < track->grid_count; i++) {
        track->grid_hz[i] *= factor;
        track->grid_turns[i] *= factor;
    }
    track->mean_hz *= factor;
    track->uncertainty_hz *= factor;
}

void track_clear(struct track *track)
{
    free(track->points);
    free(track->grid_hz);
    free(track->grid_turns);
    *track = (struct track){ .mean_hz = ABSENT };
}
