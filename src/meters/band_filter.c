/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/band_filter.h"

#include "base/units.h"
#include "meters/phasor.h"

#include <complex.h>
#include <math.h>
#include <stddef.h>

#define ORDER 4 /* of the low-pass prototype */

static double warped_ratio(const struct band_response *band, double w)
{
    double x = (w * w - band->mid * band->mid) / (band->width * w), power4 = x * x * (x * x);
    return 1 / (1 + power4 * power4);
}

double band_response_ratio(const struct band_response *response, double hz)
{
    return hz < 0.5 * response->rate_hz ? warped_ratio(response, tan(PI * hz / response->rate_hz)) : 0;
}

/* Points of the warped frequency at equal steps of lg f, over five bandwidths and more either side of a band. */
#define GRID_POINTS 240
struct grid {
    double w[GRID_POINTS + 1];
    double step; /* of ln f */
};

static void make_grid(struct grid *grid, double low_hz, double high_hz, double sample_rate_hz)
{
    double reach = pow(high_hz / low_hz, 5), from = low_hz / reach, to = fmin(high_hz * reach, 0.4999 * sample_rate_hz);
    grid->step = log(to / from) / GRID_POINTS;
    for (int i = 0; i <= GRID_POINTS; i++)
        grid->w[i] = tan(PI * from * exp(grid->step * i) / sample_rate_hz);
}

/* Effective bandwidth, integral of |H|^2 df/f, IEC 61260-1:2014, 5.12, by the trapezium rule; what lies outside the
 * grid is below 0.0001 of it. */
static double effective_bandwidth(const struct band_response *band, const struct grid *grid)
{
    double sum = 0.5 * (warped_ratio(band, grid->w[0]) + warped_ratio(band, grid->w[GRID_POINTS]));
    for (int i = 1; i < GRID_POINTS; i++)
        sum += warped_ratio(band, grid->w[i]);
    return sum * grid->step;
}

struct band_response band_response_design(double low_hz, double high_hz, double sample_rate_hz)
{
    double low = tan(PI * low_hz / sample_rate_hz), high = tan(PI * high_hz / sample_rate_hz);
    /* The noise bandwidth of a Butterworth filter is pi / (2 n sin(pi / 2n)) of the width between its -3 dB points.
     * From there on by the rule of three: the effective bandwidth is very nearly in proportion to the width (1e-5 at
     * last). */
    double narrower = 2 * ORDER * sin(PI / (2 * ORDER)) / PI;
    struct band_response band = { .mid = sqrt(low * high),
                                  .width = (high - low) * narrower,
                                  .rate_hz = sample_rate_hz };
    struct grid grid;
    make_grid(&grid, low_hz, high_hz, sample_rate_hz);
    for (int round = 0; round < 3; round++)
        band.width *= log(high_hz / low_hz) / effective_bandwidth(&band, &grid);
    return band;
}

/* From the s plane (s = j w) to the z plane. */
static double complex bilinear(double complex s)
{
    return (1 + s) / (1 - s);
}

/* A pole and its conjugate. */
static void set_section(struct band_filter *filter, int section, double complex pole)
{
    filter->a1[section] = -2 * creal(pole);
    filter->a2[section] = creal(pole * conj(pole));
}

double band_filter_ratio(const struct band_filter *filter, double hz, double sample_rate_hz)
{
    double complex back = phasor(-2 * PI * hz / sample_rate_hz), response = 1;
    for (int i = 0; i < BAND_SECTIONS; i++)
        response *= (1 - back * back) / (1 + filter->a1[i] * back + filter->a2[i] * back * back);
    double magnitude = cabs(response);
    return magnitude * magnitude * filter->power_scale;
}

/* Each pole p of the low-pass prototype gives the two roots of s^2 - p width s + mid^2. */
struct band_filter band_filter_design(double low_hz, double high_hz, double sample_rate_hz)
{
    struct band_response band = band_response_design(low_hz, high_hz, sample_rate_hz);
    struct band_filter filter = { .power_scale = 1 };
    for (int k = 0; k < ORDER / 2; k++) {
        double angle = PI * (2.0 * k + ORDER + 1) / (2.0 * ORDER); /* upper left quarter */
        double complex half = 0.5 * band.width * phasor(angle);
        double complex root = csqrt(half * half - band.mid * band.mid);
        set_section(&filter, 2 * k, bilinear(half + root));
        set_section(&filter, 2 * k + 1, bilinear(half - root));
    }
    double mid_hz = atan(band.mid) / PI * sample_rate_hz;
    filter.power_scale = 1 / band_filter_ratio(&filter, mid_hz, sample_rate_hz);
    return filter;
}
