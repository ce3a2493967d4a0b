/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/weighting.h"

#include "base/units.h"
#include "meters/phasor.h"

#include <complex.h>
#include <math.h>

/* IEC 61672-1:2013, Annex E: the pole frequencies follow from fL = 10^1.5, fH = 10^3.9, fA = 10^2.45, fR = 1000 Hz. */
#define F1_HZ 20.598997
#define F2_HZ 107.65265
#define F3_HZ 737.86223
#define F4_HZ 12194.217
#define NORMAL_HZ 1000.0
#define Z_POLE_HZ 1.0

static double high_pass_ratio(double hz, double pole_hz)
{
    return hz * hz / (hz * hz + pole_hz * pole_hz);
}

static double low_pass_ratio(double hz, double pole_hz)
{
    return pole_hz * pole_hz / (hz * hz + pole_hz * pole_hz);
}

/* Analytic power ratios, not yet normalised at 1 kHz. */
static double c_ratio(double hz)
{
    double high = high_pass_ratio(hz, F1_HZ), low = low_pass_ratio(hz, F4_HZ);
    return high * high * low * low;
}

static double a_of_c_ratio(double hz)
{
    return high_pass_ratio(hz, F2_HZ) * high_pass_ratio(hz, F3_HZ);
}

double weighting_power_ratio(enum weighting weighting, double hz)
{
    double ratio = 1;
    if (weighting != WEIGHTING_Z)
        ratio *= c_ratio(hz) / c_ratio(NORMAL_HZ);
    if (weighting == WEIGHTING_A)
        ratio *= a_of_c_ratio(hz) / a_of_c_ratio(NORMAL_HZ);
    return ratio;
}

double weighting_db(enum weighting weighting, double hz)
{
    return power_ratio_to_db(weighting_power_ratio(weighting, hz));
}

/* |1 - pole z^-1|^2 at an angle. Written so that it stays exact where pole and z are both near 1. */
static double pole_power(double pole, double angle)
{
    double half = sin(0.5 * angle);
    return (1 - pole) * (1 - pole) + 4 * pole * half * half;
}

static double c_denominator(const struct weighting_coefficients *c, double angle)
{
    double low = pole_power(c->pole_low, angle), high = pole_power(c->pole_high, angle);
    return low * low * high * high * pole_power(WEIGHTING_EXTRA_POLE, angle);
}

static double a_denominator(const struct weighting_coefficients *c, double angle)
{
    return pole_power(c->pole_a2, angle) * pole_power(c->pole_a3, angle);
}

static double taps_power(const double taps[3], double angle)
{
    return pow(cabs(taps[0] + taps[1] * phasor(-angle) + taps[2] * phasor(-2 * angle)), 2);
}

static double c_filter_ratio(const struct weighting_coefficients *c, double angle)
{
    double zeros = pole_power(1, angle);
    return zeros * zeros * taps_power(c->c_taps, angle) / c_denominator(c, angle);
}

static double a_of_c_filter_ratio(const struct weighting_coefficients *c, double angle)
{
    double zeros = pole_power(1, angle);
    return zeros * zeros * taps_power(c->a_taps, angle) / a_denominator(c, angle);
}

static double z_filter_ratio(const struct weighting_coefficients *c, double angle)
{
    return c->gain_z * c->gain_z * pole_power(1, angle) / pole_power(c->pole_z, angle);
}

double weighting_filter_db(const struct weighting_coefficients *coefficients, enum weighting weighting, double hz)
{
    double angle = 2 * PI * hz / coefficients->sample_rate_hz;
    switch (weighting) {
    case WEIGHTING_A:
        return power_ratio_to_db(c_filter_ratio(coefficients, angle) * a_of_c_filter_ratio(coefficients, angle));
    case WEIGHTING_C:
        return power_ratio_to_db(c_filter_ratio(coefficients, angle));
    case WEIGHTING_Z:
        return power_ratio_to_db(z_filter_ratio(coefficients, angle));
    }
    return power_ratio_to_db(0);
}

/* Solves the symmetric positive 3 by 3 system in place (Gauss without pivoting is safe for such). */
static void solve3(double matrix[3][3], double right[3])
{
    for (int i = 0; i < 3; i++)
        for (int row = i + 1; row < 3; row++) {
            double factor = matrix[row][i] / matrix[i][i];
            for (int column = i; column < 3; column++)
                matrix[row][column] -= factor * matrix[i][column];
            right[row] -= factor * right[i];
        }
    for (int i = 2; i >= 0; i--) {
        for (int column = i + 1; column < 3; column++)
            right[i] -= matrix[i][column] * right[column];
        right[i] /= matrix[i][i];
    }
}

/* Minimum-phase taps of r0 + 2 r1 cos w + 2 r2 cos 2w, which must be positive for all w. With u = 2 cos w = z + 1/z it
 * is r2 u^2 + r1 u + (r0 - 2 r2); each root u gives one zero inside the unit circle. */
static bool factorise(const double r[3], double taps[3])
{
    double complex root = csqrt(r[1] * r[1] - 4 * r[2] * (r[0] - 2 * r[2]));
    double complex q = -0.5 * (r[1] + (r[1] >= 0 ? root : -root));
    double complex u[2] = { q / r[2], (r[0] - 2 * r[2]) / q };
    double complex zero[2];
    for (int i = 0; i < 2; i++) {
        double complex part = csqrt(u[i] * u[i] - 4), z = 0.5 * (u[i] + part);
        zero[i] = cabs(z) < 1 ? z : 1 / z;
        if (!(cabs(zero[i]) < 1))
            return false;
    }
    double first = creal(-(zero[0] + zero[1])), second = creal(zero[0] * zero[1]);
    double power = r[0] / (1 + first * first + second * second);
    if (!(power > 0))
        return false;
    taps[0] = sqrt(power);
    taps[1] = taps[0] * first;
    taps[2] = taps[0] * second;
    return true;
}

/* Fits taps so that their power times `zeros^2 / denominator` follows `target` up to what the rate can carry, relative
 * error weighted evenly, points crowded towards the upper end where the fit is hard. */
#define FIT_POINTS 400
static bool fit_taps(const struct weighting_coefficients *c, double (*target)(double hz),
                     double (*denominator)(const struct weighting_coefficients *c, double angle), double taps[3])
{
    double highest_hz = fmin(0.455 * c->sample_rate_hz, 24000), matrix[3][3] = { { 0 } }, r[3] = { 0 };
    for (int i = 0; i < FIT_POINTS; i++) {
        double hz = fmax(10, highest_hz * sin(0.5 * PI * i / (FIT_POINTS - 1))),
               angle = 2 * PI * hz / c->sample_rate_hz;
        double zeros = pole_power(1, angle), goal = target(hz) * denominator(c, angle) / (zeros * zeros);
        double row[3] = { 1 / goal, 2 * cos(angle) / goal, 2 * cos(2 * angle) / goal };
        for (int j = 0; j < 3; j++) {
            for (int k = 0; k < 3; k++)
                matrix[j][k] += row[j] * row[k];
            r[j] += row[j];
        }
    }
    solve3(matrix, r);
    return factorise(r, taps);
}

static void normalise(double taps[3], double ratio)
{
    for (int i = 0; i < 3; i++)
        taps[i] /= sqrt(ratio);
}

/* taps times (1 - z^-1)^2. */
static void with_two_zeros_at_0(const double taps[3], double zeros[5])
{
    static const double second_difference[3] = { 1, -2, 1 };
    for (int i = 0; i < 5; i++)
        zeros[i] = 0;
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            zeros[i + j] += taps[i] * second_difference[j];
}

/* The cascades: every pole with the zeros that belong to it. */
static void make_cascades(struct weighting_filter *filter)
{
    const struct weighting_coefficients *k = &filter->coefficients;
    const double c_poles[] = { k->pole_low, k->pole_low, k->pole_high, k->pole_high, WEIGHTING_EXTRA_POLE };
    const double a_poles[] = { k->pole_a2, k->pole_a3 }, z_zeros[] = { k->gain_z, -k->gain_z };
    double zeros[5];
    with_two_zeros_at_0(k->c_taps, zeros);
    cascade_init(&filter->c, zeros, 5, c_poles, 5);
    with_two_zeros_at_0(k->a_taps, zeros);
    cascade_init(&filter->a_of_c, zeros, 5, a_poles, 2);
    cascade_init(&filter->z, z_zeros, 2, &k->pole_z, 1);
}

bool weighting_init(struct weighting_filter *filter, double sample_rate_hz, struct err *err)
{
    if (!(sample_rate_hz >= 0.99 * 8000 && sample_rate_hz <= 1.01 * 384000))
        return err_set(err, ERR_RANGE, "a sampling rate of %.9g Hz; 8000 to 384000 Hz can be weighted", sample_rate_hz);
    *filter = (struct weighting_filter){ 0 };
    struct weighting_coefficients *c = &filter->coefficients;
    c->sample_rate_hz = sample_rate_hz;
    c->pole_low = exp(-2 * PI * F1_HZ / sample_rate_hz);
    c->pole_a2 = exp(-2 * PI * F2_HZ / sample_rate_hz);
    c->pole_a3 = exp(-2 * PI * F3_HZ / sample_rate_hz);
    c->pole_high = exp(-2 * PI * F4_HZ / sample_rate_hz);
    if (!fit_taps(c, c_ratio, c_denominator, c->c_taps) || !fit_taps(c, a_of_c_ratio, a_denominator, c->a_taps))
        return err_set(err, ERR_INTERNAL, "no weighting filter for %.9g Hz", sample_rate_hz);
    double angle = 2 * PI * NORMAL_HZ / sample_rate_hz;
    normalise(c->c_taps, c_filter_ratio(c, angle));
    normalise(c->a_taps, a_of_c_filter_ratio(c, angle));
    c->pole_z = exp(-2 * PI * Z_POLE_HZ / sample_rate_hz);
    c->gain_z = 0.5 * (1 + c->pole_z);
    make_cascades(filter);
    return true;
}
