/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/track.h"

#include "base/absent.h"
#include "base/memory.h"
#include "rotor/rank.h"

#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdlib.h>

/* From the points of a track to its course, drift and jitter. */

enum { EVEN_STEPS = 100 }; /* where a course is looked at */

#define POINTS_LEAST 4
#define DEGREE_MOST 5
#define FITS_CHI2 2.0 /* reduced chi squared of a course that is smooth enough */

static double course_at(const struct track *track, double u)
{
    double hz = 0;
    for (int i = track->course_degree; i >= 0; i--)
        hz = hz * u + track->course[i];
    return hz;
}

/* Weighted polynomial of one degree; reduced chi squared, INFINITY where it can't be fitted. Points that lie more than
 * four of the fit's own scatters off are left out of `weights`. */
static double fit_degree(struct track *track, int degree, gsl_matrix *basis, gsl_vector *values, gsl_vector *weights)
{
    size_t terms = (size_t)degree + 1;
    gsl_matrix_view used = gsl_matrix_submatrix(basis, 0, 0, track->count, terms);
    gsl_vector *course = gsl_vector_alloc(terms);
    gsl_matrix *covariance = gsl_matrix_alloc(terms, terms);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(track->count, terms);
    double chi2 = HUGE_VAL;
    if (course && covariance && work &&
        gsl_multifit_wlinear(&used.matrix, weights, values, course, covariance, &chi2, work) == 0) {
        for (size_t i = 0; i < terms; i++)
            track->course[i] = gsl_vector_get(course, i);
        track->course_degree = degree;
    }
    gsl_vector_free(course);
    gsl_matrix_free(covariance);
    gsl_multifit_linear_free(work);
    return chi2 / (double)(track->count - terms);
}

/* A polynomial may swing where no window told a speed, at the ends and in gaps. It is no course when it leaves the
 * range of the points by more than that range. */
static bool strays(const struct track *track)
{
    double least_hz = HUGE_VAL, most_hz = -HUGE_VAL;
    for (size_t i = 0; i < track->count; i++) {
        least_hz = fmin(least_hz, track->points[i].shaft_hz);
        most_hz = fmax(most_hz, track->points[i].shaft_hz);
    }
    double range_hz = most_hz - least_hz;
    for (int i = 0; i <= EVEN_STEPS; i++) {
        double hz = course_at(track, 2.0 * i / EVEN_STEPS - 1);
        if (hz > most_hz + range_hz || hz < least_hz - range_hz || hz <= 0)
            return true;
    }
    return false;
}

static void weigh(const struct track *track, gsl_matrix *basis, gsl_vector *values, gsl_vector *weights, double *sorted)
{
    for (size_t i = 0; i < track->count; i++)
        sorted[i] = track->points[i].shaft_hz;
    double median_hz = rank_median(sorted, track->count);
    for (size_t i = 0; i < track->count; i++)
        sorted[i] = fabs(track->points[i].shaft_hz - median_hz);
    double scatter_hz = 1.4826 * rank_median(sorted, track->count);
    for (size_t i = 0; i < track->count; i++) {
        const struct track_point *point = &track->points[i];
        double u = 2 * point->time_s / track->duration_s - 1, power = 1;
        for (size_t term = 0; term <= DEGREE_MOST; term++, power *= u)
            gsl_matrix_set(basis, i, term, power);
        gsl_vector_set(values, i, point->shaft_hz);
        bool is_wild = fabs(point->shaft_hz - median_hz) > 5 * scatter_hz + 3 * point->uncertainty_hz;
        gsl_vector_set(weights, i, (is_wild ? 1e-6 : 1) / (point->uncertainty_hz * point->uncertainty_hz));
    }
}

static void tell_motion(struct track *track, const gsl_vector *weights)
{
    double sum = 0, squares = 0, noise = 0;
    for (size_t i = 0; i < track->count; i++) {
        const struct track_point *point = &track->points[i];
        double u = 2 * point->time_s / track->duration_s - 1;
        double miss = point->shaft_hz - course_at(track, u);
        if (gsl_vector_get(weights, i) * point->uncertainty_hz * point->uncertainty_hz < 0.5)
            continue;
        sum += 1;
        squares += miss * miss;
        noise += point->uncertainty_hz * point->uncertainty_hz;
    }
    double scatter = squares / fmax(sum - track->course_degree - 1, 1);
    track->uncertainty_hz = sqrt(fmax(scatter, noise / sum) / sum);
    track->jitter_pct = 100 * sqrt(fmax(scatter - noise / sum, 0)) / track->mean_hz;
}

/* Speed at a point, smoothed with its neighbours by 1:2:1 and their weights; wild points weigh next to nothing. */
static double smooth_at(const struct track *track, const gsl_vector *weights, size_t i)
{
    double sum = 0, weight = 0;
    for (size_t n = i > 0 ? i - 1 : 0; n <= i + 1 && n < track->count; n++) {
        double share = gsl_vector_get(weights, n) * (n == i ? 2 : 1);
        sum += share * track->points[n].shaft_hz;
        weight += share;
    }
    return sum / weight;
}

/* Replaces the polynomial by the smoothed points. */
static bool take_grid(struct track *track, const gsl_vector *weights)
{
    size_t count = 2 * track->count + 1, at = 0;
    double step_s = track->duration_s / (double)(count - 1);
    double *hz = memory_new(count, sizeof *hz), *turns = memory_new(count, sizeof *turns);
    if (!hz || !turns) {
        free(hz);
        free(turns);
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        double time_s = (double)i * step_s;
        while (at + 2 < track->count && track->points[at + 1].time_s < time_s)
            at++;
        double from_s = track->points[at].time_s, to_s = track->points[at + 1].time_s;
        double share = fmin(fmax((time_s - from_s) / (to_s - from_s), 0), 1);
        hz[i] = (1 - share) * smooth_at(track, weights, at) + share * smooth_at(track, weights, at + 1);
        turns[i] = i == 0 ? 0 : turns[i - 1] + step_s * (hz[i - 1] + hz[i]) / 2;
    }
    track->grid_hz = hz;
    track->grid_turns = turns;
    track->grid_count = count;
    track->mean_hz = turns[count - 1] / track->duration_s;
    return true;
}

/* The grid's cell of a time, and how far into it. */
static size_t cell_of(const struct track *track, double time_s, double *into_s)
{
    double step_s = track->duration_s / (double)(track->grid_count - 1);
    double place = fmin(fmax(time_s / step_s, 0), (double)(track->grid_count - 2));
    size_t cell = (size_t)place;
    *into_s = time_s - (double)cell * step_s;
    return cell;
}

static double cell_slope(const struct track *track, size_t cell)
{
    double step_s = track->duration_s / (double)(track->grid_count - 1);
    return (track->grid_hz[cell + 1] - track->grid_hz[cell]) / step_s;
}

double track_hz(const struct track *track, double time_s)
{
    if (!track->grid_hz)
        return course_at(track, 2 * time_s / track->duration_s - 1);
    double into_s = 0;
    size_t cell = cell_of(track, time_s, &into_s);
    return track->grid_hz[cell] + cell_slope(track, cell) * into_s;
}

double track_turns(const struct track *track, double time_s)
{
    if (track->grid_hz) {
        double into_s = 0;
        size_t cell = cell_of(track, time_s, &into_s);
        return track->grid_turns[cell] + into_s * (track->grid_hz[cell] + cell_slope(track, cell) * into_s / 2);
    }
    double u = 2 * time_s / track->duration_s - 1, sum = 0, power = u, start = -1;
    for (int i = 0; i <= track->course_degree; i++, power *= u, start = -start)
        sum += track->course[i] / (i + 1) * (power - start);
    return sum * track->duration_s / 2;
}

double track_span(const struct track *track)
{
    double least = HUGE_VAL, most = -HUGE_VAL;
    size_t steps = track->grid_hz ? track->grid_count - 1 : EVEN_STEPS;
    for (size_t i = 0; i <= steps; i++) {
        double hz = track_hz(track, track->duration_s * (double)i / (double)steps);
        least = fmin(least, hz);
        most = fmax(most, hz);
    }
    return (most - least) / track->mean_hz;
}

double track_distance(const struct track *track, const struct track *other)
{
    double most = 0;
    for (int i = 0; i <= EVEN_STEPS; i++) {
        double time_s = track->duration_s * i / EVEN_STEPS;
        most = fmax(most, fabs(track_hz(track, time_s) / track_hz(other, time_s) - 1));
    }
    return most;
}

/* Change from start to end of the straight line through the course. */
static double change_hz(const struct track *track)
{
    double slope = 0, weight = 0;
    for (int i = 0; i <= EVEN_STEPS; i++) {
        double u = 2.0 * i / EVEN_STEPS - 1;
        slope += u * track_hz(track, track->duration_s * (1 + u) / 2);
        weight += u * u;
    }
    return 2 * slope / weight;
}

bool track_fit(struct track *track, struct err *err)
{
    track->mean_hz = track->uncertainty_hz = track->drift_pct = track->jitter_pct = ABSENT;
    if (track->count < POINTS_LEAST)
        return true;
    gsl_matrix *basis = gsl_matrix_alloc(track->count, DEGREE_MOST + 1);
    gsl_vector *values = gsl_vector_alloc(track->count), *weights = gsl_vector_alloc(track->count);
    double *sorted = memory_new(track->count, sizeof *sorted);
    bool is_ok = basis && values && weights && sorted;
    double chi2 = HUGE_VAL;
    if (is_ok) {
        weigh(track, basis, values, weights, sorted);
        for (int degree = 0; degree <= DEGREE_MOST && (size_t)degree + 3 < track->count && chi2 >= FITS_CHI2;
             degree++) {
            chi2 = fit_degree(track, degree, basis, values, weights);
            if (degree > 0 && strays(track)) {
                chi2 = fit_degree(track, degree - 1, basis, values, weights);
                break;
            }
        }
        is_ok = isfinite(chi2);
    }
    if (is_ok) {
        track->mean_hz = track_turns(track, track->duration_s) / track->duration_s;
        tell_motion(track, weights);
        if (chi2 >= FITS_CHI2)
            is_ok = take_grid(track, weights);
        track->drift_pct = 100 * change_hz(track) / track->mean_hz;
    }
    gsl_matrix_free(basis);
    gsl_vector_free(values);
    gsl_vector_free(weights);
    free(sorted);
    return is_ok ? true : err_memory(err);
}
