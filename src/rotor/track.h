/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_ROTOR_TRACK_H
#define THRUM_ROTOR_TRACK_H

/* Speed of the rotor's shaft against time through the used part. By sound: the comb of blade tones (speed.h) in windows
 * of some shaft turns that overlap by half, looked for within TRACK_REACH_PCT of the mean speed. By one tone: where no
 * comb is clear yet. By tachometer: see tach.h. From the track: drift (the fitted straight line's change from start to
 * end) and jitter (what moves about a smooth course, less what the measurement itself scatters). */

#include "rotor/averager.h"
#include "rotor/speed.h"

#include <stdbool.h>
#include <stddef.h>

#define TRACK_REACH_PCT 6.0
#define RAMP_REACH_PCT 2.5

struct track_point {
    double time_s; /* from the start of the used part */
    double shaft_hz, uncertainty_hz;
};

struct track {
    struct track_point *points; /* owned */
    size_t count, capacity;
    double duration_s;
    double heard_share; /* of the windows that told a speed */
    /* Smooth course: polynomial in u = 2 t / duration - 1 of the lowest degree that fits. */
    double course[6];
    int course_degree;
    /* Where no low degree fits, the speed wanders: then the smoothed points, on an even grid with straight lines
     * between, are the course, and the polynomial only parts drift from jitter. */
    double *grid_hz, *grid_turns; /* owned; NULL: the polynomial is the course */
    size_t grid_count;
    double mean_hz, uncertainty_hz;
    double drift_pct, jitter_pct; /* ABSENT where there are too few points */
};

/* `question` as for the whole recording, `shaft_hz` its mean speed, `noise_pa2` of `spectrum`. Where a rough course is
 * known (NULL: none; its scale does not matter), within RAMP_REACH_PCT of that. Count 0 where too few windows tell a
 * speed. */
bool track_by_sound(struct pressure *pressure, const struct speed_question *question, double shaft_hz,
                    const struct track *course, const struct spectrum *spectrum, const double *noise_pa2,
                    struct track *out, struct err *err) MUST_CHECK;

/* Follows one strong tone instead, whatever makes it: the strongest line within 4 % of `tone_hz` in windows of 0.2 s.
 * The track is the tone's own frequency; track_scale makes it a shaft's. */
bool track_by_tone(struct pressure *pressure, double tone_hz, const struct spectrum *spectrum, const double *noise_pa2,
                   struct track *out, struct err *err) MUST_CHECK;
void track_scale(struct track *track, double factor);

bool track_add(struct track *track, double time_s, double shaft_hz, double uncertainty_hz) MUST_CHECK;

/* Fits the course, mean, drift and jitter from the points; absent where there are too few. */
bool track_fit(struct track *track, struct err *err) MUST_CHECK;

double track_hz(const struct track *track, double time_s);
double track_turns(const struct track *track, double time_s); /* since the start, of the smooth course */

/* Greatest distance between two courses of the same shaft, as a share of its speed. */
double track_distance(const struct track *track, const struct track *other);

/* Greatest less smallest speed of the course, as a share of the mean. */
double track_span(const struct track *track);

void track_clear(struct track *track);

#endif
