/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/weighting.h"

#include <string.h>

/* As if the signal had stood at its first value for ever: every high-pass has then come to rest at 0. */
static void start(struct weighting_filter *filter, double first_pa)
{
    for (size_t i = 0; i < CASCADE_MARGIN; i++)
        filter->input[i] = first_pa;
    filter->is_started = true;
}

/* One cascade over the `whole` frames of its input's buffer, a multiple of CASCADE_LANES; those behind the padding are
 * handed out. */
static void run_padded(struct cascade *cascade, const double *input, size_t whole, size_t padding, size_t frame_count,
                       double *output)
{
    if (whole == frame_count) {
        cascade_run(cascade, input, whole, output);
        return;
    }
    double padded[WEIGHTING_STRETCH_FRAMES];
    cascade_run(cascade, input, whole, padded);
    memcpy(output, padded + padding, frame_count * sizeof *output);
}

static void run_stretch(struct weighting_filter *filter, size_t whole, size_t padding, size_t frame_count, double *a_pa,
                        double *c_pa, double *z_pa)
{
    const double *input = filter->input + CASCADE_MARGIN;
    double *output_c = filter->output_c + CASCADE_MARGIN;
    cascade_run(&filter->c, input, whole, output_c);
    memcpy(c_pa, output_c + padding, frame_count * sizeof *c_pa);
    run_padded(&filter->a_of_c, output_c, whole, padding, frame_count, a_pa);
    run_padded(&filter->z, input, whole, padding, frame_count, z_pa);
    memmove(filter->input, filter->input + whole, CASCADE_MARGIN * sizeof *filter->input);
    memmove(filter->output_c, filter->output_c + whole, CASCADE_MARGIN * sizeof *filter->output_c);
}

/* A first count that is no multiple gets more of the first value in front, which changes nothing; a last one is
 * followed by zeros, behind which nothing comes. */
void weighting_run(struct weighting_filter *filter, const double *pressure_pa, size_t frame_count, double *a_pa,
                   double *c_pa, double *z_pa)
{
    size_t padding = 0;
    if (frame_count > 0 && !filter->is_started) {
        start(filter, pressure_pa[0]);
        padding = (CASCADE_LANES - frame_count % CASCADE_LANES) % CASCADE_LANES;
    }
    while (frame_count > 0) {
        size_t room = WEIGHTING_STRETCH_FRAMES - padding, count = frame_count < room ? frame_count : room;
        size_t whole = (padding + count + CASCADE_LANES - 1) / CASCADE_LANES * CASCADE_LANES;
        double *input = filter->input + CASCADE_MARGIN;
        for (size_t i = 0; i < padding; i++)
            input[i] = pressure_pa[0];
        memcpy(input + padding, pressure_pa, count * sizeof *input);
        for (size_t i = padding + count; i < whole; i++)
            input[i] = 0;
        run_stretch(filter, whole, padding, count, a_pa, c_pa, z_pa);
        pressure_pa += count;
        a_pa += count;
        c_pa += count;
        z_pa += count;
        frame_count -= count;
        padding = 0;
    }
}
