/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/weighting.h"

/* As if the signal had stood at its first value for ever: every high-pass has then come to rest at 0. */
static void start(struct weighting_filter *filter, double *pressure_pa)
{
    for (size_t i = 1; i <= CASCADE_MARGIN; i++)
        *(pressure_pa - i) = pressure_pa[0];
    filter->is_started = true;
}

void weighting_run(struct weighting_filter *filter, double *pressure_pa, size_t frame_count, double *a_pa, double *c_pa,
                   double *z_pa)
{
    if (frame_count > 0 && !filter->is_started)
        start(filter, pressure_pa);
    cascade_run(&filter->c, pressure_pa, frame_count, c_pa);
    cascade_run(&filter->a_of_c, c_pa, frame_count, a_pa);
    cascade_run(&filter->z, pressure_pa, frame_count, z_pa);
}
