/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/weighting.h"

/* As if the signal had stood at its first value for ever: every high-pass has then come to rest at 0. */
static void start(struct weighting_filter *f, double first_pa)
{
    f->low_input = first_pa;
    f->z_input[0] = f->z_input[1] = first_pa;
    f->is_started = true;
}

static void run_c(struct weighting_filter *filter, const double *pressure_pa, size_t frame_count, double *c_pa)
{
    struct weighting_filter f = *filter; /* in registers */
    const double pole_low = f.coefficients.pole_low, pole_high = f.coefficients.pole_high;
    const double tap0 = f.coefficients.c_taps[0], tap1 = f.coefficients.c_taps[1], tap2 = f.coefficients.c_taps[2];
    for (size_t i = 0; i < frame_count; i++) {
        double first = pressure_pa[i] - f.low_input + pole_low * f.low[0];
        double second = first - f.low[0] + pole_low * f.low[1];
        double sum = tap0 * second + tap1 * f.c_input[0] + tap2 * f.c_input[1];
        f.low_input = pressure_pa[i];
        f.low[0] = first;
        f.low[1] = second;
        f.c_input[1] = f.c_input[0];
        f.c_input[0] = second;
        f.c_pole[0] = sum + pole_high * f.c_pole[0];
        f.c_pole[1] = f.c_pole[0] + pole_high * f.c_pole[1];
        f.c_pole[2] = f.c_pole[1] - 0.5 * f.c_pole[2];
        c_pa[i] = f.c_pole[2];
    }
    *filter = f;
}

static void run_a(struct weighting_filter *filter, const double *c_pa, size_t frame_count, double *a_pa)
{
    struct weighting_filter f = *filter;
    const double pole2 = f.coefficients.pole_a2, pole3 = f.coefficients.pole_a3;
    const double tap0 = f.coefficients.a_taps[0], tap1 = f.coefficients.a_taps[1], tap2 = f.coefficients.a_taps[2];
    for (size_t i = 0; i < frame_count; i++) {
        double second = c_pa[i] - f.a2_input + pole2 * f.a2;
        double third = second - f.a3_input + pole3 * f.a3;
        f.a2_input = c_pa[i];
        f.a2 = second;
        f.a3_input = second;
        f.a3 = third;
        a_pa[i] = tap0 * third + tap1 * f.a_input[0] + tap2 * f.a_input[1];
        f.a_input[1] = f.a_input[0];
        f.a_input[0] = third;
    }
    *filter = f;
}

static void run_z(struct weighting_filter *filter, const double *pressure_pa, size_t frame_count, double *z_pa)
{
    struct weighting_filter f = *filter;
    const double gain = f.coefficients.z_gain;
    const double feedback1 = f.coefficients.z_feedback[0], feedback2 = f.coefficients.z_feedback[1];
    for (size_t i = 0; i < frame_count; i++) {
        double input = gain * ((pressure_pa[i] - f.z_input[0]) - (f.z_input[0] - f.z_input[1]));
        double output = input - feedback2 * f.z_output[1] - feedback1 * f.z_output[0];
        f.z_input[1] = f.z_input[0];
        f.z_input[0] = pressure_pa[i];
        f.z_output[1] = f.z_output[0];
        f.z_output[0] = output;
        z_pa[i] = output;
    }
    *filter = f;
}

void weighting_run(struct weighting_filter *filter, const double *pressure_pa, size_t frame_count, double *a_pa,
                   double *c_pa, double *z_pa)
{
    if (frame_count == 0)
        return;
    if (!filter->is_started)
        start(filter, pressure_pa[0]);
    run_c(filter, pressure_pa, frame_count, c_pa);
    run_a(filter, c_pa, frame_count, a_pa);
    run_z(filter, pressure_pa, frame_count, z_pa);
}
